/** The peer: VictoriaMetrics with the same readings, merged, asked the same. */
import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { openRandom } from '../../../probes/simulated/random.ts';
import { startVictoriaMetrics } from '../../machine/victoria-metrics.ts';
import type { Signal } from './signals.ts';

export type PeerFigures = {
  /** Bytes a reading on disk, after a forced merge. */
  bytes: number;
  /** Least, most and mean of a thousand spans over all of it, ms, median. */
  questionMs: number;
};

/** Readings in one request. */
const perRequest = 100_000;
const spans = 1_000;

/** Fills a server of its own with so many readings, merges, weighs it and asks; the server is removed again. */
export async function measureVictoria(
  signal: Signal,
  { readings, seed, times }: { readings: number; seed: number; times: number },
): Promise<PeerFigures> {
  const server = await startVictoriaMetrics();
  try {
    let [firstMs, lastMs] = [0, 0];
    for (let done = 0; done < readings; ) {
      const lines: string[] = [];
      for (; lines.length < perRequest && done < readings; done++) {
        const { atMs, tempC } = signal.next();
        if (firstMs === 0) firstMs = atMs;
        lastMs = atMs;
        lines.push(`temperature,probe=larder celsius=${tempC} ${atMs}`);
      }
      const answer = await fetch(`${server.url}/write?precision=ms`, {
        method: 'POST',
        body: lines.join('\n'),
      });
      if (!answer.ok) throw new Error(`victoria-metrics must take readings, got ${await answer.text()}`);
    }
    const empty = weigh(server.dir);
    await fetch(`${server.url}/internal/force_flush`);
    await fetch(`${server.url}/internal/force_merge`);
    await settled(server.dir, empty);
    const bytes = weigh(`${server.dir}/data`) / readings;
    const random = openRandom(seed, 'victoria');
    const found: number[] = [];
    for (let time = 0; time < times + 2; time++) {
      const fromMs = firstMs + Math.floor(random.uniform() * 3_600_000);
      const toMs = lastMs - Math.floor(random.uniform() * 3_600_000);
      const spentMs = await ask(server.url, { fromMs, toMs });
      if (time >= 2) found.push(spentMs);
    }
    return { bytes, questionMs: found.sort((a, b) => a - b)[found.length >> 1] as number };
  } finally {
    await server.remove();
  }
}

async function ask(url: string, { fromMs, toMs }: { fromMs: number; toMs: number }): Promise<number> {
  const step = Math.max(1, Math.floor((toMs - fromMs) / spans));
  const parts = ['min', 'max', 'avg'].map((what) => `${what}_over_time(temperature_celsius[${step}ms])`);
  const asked = new URLSearchParams({
    query: `union(${parts.map((part, place) => `label_set(${part}, "what", "${place}")`).join(', ')})`,
    start: `${(fromMs + step) / 1000}`,
    end: `${toMs / 1000}`,
    step: `${step}ms`,
    nocache: '1',
  });
  const beganMs = performance.now();
  const answer = await fetch(`${url}/api/v1/query_range`, { method: 'POST', body: asked });
  const { data } = (await answer.json()) as { data?: { result: { values: unknown[] }[] } };
  const spentMs = performance.now() - beganMs;
  if (data?.result.length !== 3 || data.result.some(({ values }) => values.length < 0.9 * spans)) {
    throw new Error(`victoria-metrics must answer ${spans} spans, got ${JSON.stringify(data).slice(0, 200)}`);
  }
  return spentMs;
}

/** Waits until what is on disk has stood still for two seconds. */
async function settled(dir: string, before: number): Promise<void> {
  let last = before;
  for (let still = 0, tries = 0; still < 8 && tries < 240; tries++) {
    await new Promise((resolve) => setTimeout(resolve, 250));
    const now = weigh(dir);
    still = now === last ? still + 1 : 0;
    last = now;
  }
}

/** The bytes of all files below a folder; what goes while it is looked at counts as gone. */
function weigh(dir: string): number {
  let bytes = 0;
  for (const entry of readdirSync(dir, { recursive: true, withFileTypes: true })) {
    if (entry.isFile())
      bytes += statSync(join(entry.parentPath, entry.name), { throwIfNoEntry: false })?.size ?? 0;
  }
  return bytes;
}
