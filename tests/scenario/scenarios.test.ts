import { describe, expect, it } from 'vitest';
import { parseScenario } from './language/parse.ts';
import { runScenario, scenarioFiles } from './run-scenario.ts';

describe('scenarios', () => {
  for (const file of scenarioFiles()) {
    const { failures, title } = runScenario(file);
    it(`holds: ${title}`, () => {
      expect(failures).toEqual([]);
    });
  }
});

const head = 'A jar\n\nhouse:\n  probe jar: in freezer\n\n';
const saw = 'the probe jar saw:\n  6:35 20 C\n  6:40 36 C until 7:00\n';

describe('a scenario at fault', () => {
  const faultsOf = (text: string) => {
    const parsed = parseScenario(text, 'a.txt');
    return parsed.ok ? [] : parsed.faults;
  };

  it('names file and line of a quantity that is none', () => {
    expect(faultsOf(`${head}the probe jar saw:\n  6:35 20 X\nmust be said:\n  nothing else\n`)).toEqual([
      'SCENARIO_LINE: a.txt:7: TEMP must be a temperature such as 36 C or 40 F, got 20 X. The form is "TIME TEMP [until TIME]".',
    ]);
  });

  it('names each fault of a file at once', () => {
    const text = `${head}${saw}must be said:\n  by half past six watch begins\n  by 6:45 chill-perfect\nwhatever:\n`;
    expect(faultsOf(text).map((fault) => fault.split(' ')[1])).toEqual([
      'a.txt:10:',
      'a.txt:11:',
      'a.txt:12:',
    ]);
  });

  it('refuses a time before the line before', () => {
    expect(
      faultsOf(`${head}the probe jar saw:\n  6:35 20 C\n  6:30 36 C\nmust be said:\n  nothing else\n`),
    ).toEqual([
      'SCENARIO_LINE: a.txt:8: the time must be no earlier than 6:35, where the line before ended, got 6:30. Lines go on in the order of time.',
    ]);
  });

  it('refuses a place that is neither described nor a kind', () => {
    const faults = faultsOf(`A jar\nhouse:\n  probe jar: in shed\n${saw}must be said:\n  nothing else\n`);
    expect(faults).toHaveLength(1);
    expect(faults[0]).toMatch(/the place must be described under house, or called as a kind of place/);
  });

  it('refuses one that says nothing of a probe, or of what must be said', () => {
    expect(faultsOf('A title\n').map((fault) => fault.split(':')[0])).toEqual([
      'SCENARIO_EMPTY',
      'SCENARIO_EMPTY',
    ]);
  });
});
