/** Notices in a list, newest first: what a newer one has said already beside its matter is not said again. */

/** The end of a sentence: a capital or a digit follows. */
const ends = /(?<=[.!?])\s+(?=[A-Z0-9])/;

/** Returns each text without the sentences, its first excepted, that stand beside the list or in a text before it. */
export function saidOnce(texts: readonly string[], beside: readonly string[] = []): string[] {
  const said = new Set(beside.flatMap((text) => text.split(ends)));
  return texts.map((text) => {
    const [matter = '', ...more] = text.split(ends);
    const fresh = more.filter((sentence) => !said.has(sentence));
    for (const sentence of more) said.add(sentence);
    return [matter, ...fresh].join(' ');
  });
}
