import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { clauseForms, headForms, sayingForms } from './language/expected-lines.ts';
import { houseForms, probeFactForms } from './language/house-lines.ts';
import { meanwhileForms } from './language/meanwhile-lines.ts';
import { sawForms } from './language/saw-lines.ts';
import { scenarioFiles } from './run-scenario.ts';

const page = readFileSync(new URL('../../deploy/docs/scenarios.md', import.meta.url), 'utf8');

describe('the page about scenarios', () => {
  it('lists every form that is read', () => {
    const all = [houseForms, probeFactForms, sawForms, meanwhileForms, headForms, sayingForms, clauseForms];
    const forms = all.flatMap((some) => some.map(({ form }) => form));
    expect(forms.filter((form) => !page.includes(`\`${form}\``))).toEqual([]);
  });

  it('shows a scenario that is among those played', () => {
    const example = /```\n([\s\S]*?)```/.exec(page)?.[1];
    const texts = scenarioFiles().map((file) => readFileSync(file, 'utf8'));
    expect(texts).toContain(example);
  });
});
