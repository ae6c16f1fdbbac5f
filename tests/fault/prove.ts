/** `npm run prove -- NAME`: one proof in its full size; prints seed, count, invariants and duration as JSON. */
import { readFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { proveAttack } from './attack-proof.ts';
import { clockPlays, isClockWrong, proveClock } from './clock-proof.ts';
import { playCurve } from './curve-proof.ts';
import { proveDisk } from './disk-proof.ts';
import { type HistoryVariant, proveHistory } from './history-proof.ts';
import { type KillVariant, proveKill } from './kill-proof.ts';
import { proveMirror } from './mirror-proof.ts';
import { proveMonth } from './month-proof.ts';
import { proveNoticesKills, proveNoticesWrites } from './notices-proof.ts';
import { proveRestart } from './restart-proof.ts';
import { proveShutdown } from './shutdown-proof.ts';
import { proveSoak, type SoakVariant } from './soak-proof.ts';
import { proveCuts, proveNight } from './wire-proof.ts';

const help = `npm run prove -- kill [--variant embedded|outside-3.1.1|outside-5.0|early] [--kills 200] [--seed 1] [--small]
npm run prove -- history [--variant kills|every-frame|wal-cut|wal-flip|block-flip] [--kills 200] [--seed 1] [--small]
npm run prove -- restart [--kills 50] [--seed 1] [--small]
npm run prove -- shutdown
npm run prove -- clock [--seed 1] [--small]
npm run prove -- attack
npm run prove -- mirror [--outages 8] [--seed 1] [--small]
npm run prove -- faults [--writes 40] [--kills 40] [--seed 1] [--small]
npm run prove -- month [--days 30] [--seed 1] [--probe air|jar] [--small]
npm run prove -- soak [--variant usual|leaky|lossy] [--minutes 30] [--seed 1] [--small]
npm run prove -- disk    fills a small tmpfs; needs root
npm run prove -- curve --file FILE.csv --limit C --span-min MIN [--from S] [--to S]
  a measured curve (t_s, celsius) down a real serial line; needs the built page (npm run build)
`;

const { values, positionals } = parseArgs({
  options: {
    variant: { type: 'string', multiple: true },
    kills: { type: 'string' },
    writes: { type: 'string' },
    days: { type: 'string' },
    minutes: { type: 'string' },
    probe: { type: 'string', default: 'air' },
    outages: { type: 'string' },
    seed: { type: 'string', default: '1' },
    small: { type: 'boolean', default: false },
    file: { type: 'string' },
    limit: { type: 'string', default: '4.44' },
    'span-min': { type: 'string', default: '60' },
    from: { type: 'string', default: '0' },
    to: { type: 'string', default: '1e9' },
    help: { type: 'boolean', default: false },
  },
  allowPositionals: true,
});

const kinds: KillVariant[] = ['embedded', 'outside-3.1.1', 'outside-5.0', 'early'];
switch (values.help ? 'help' : positionals[0]) {
  case 'kill':
    for (const variant of (values.variant as KillVariant[] | undefined) ?? kinds) {
      const report = await proveKill({
        variant,
        kills: Number(values.kills ?? (values.small ? 20 : 200)),
        seed: Number(values.seed),
        size: values.small ? 'small' : 'full',
      });
      print(report);
      const { lost, doubled, wrong, recordFaults, inputsDoubled } = report;
      const holds = lost + doubled + wrong + recordFaults + inputsDoubled === 0;
      if (holds !== (variant !== 'early')) process.exitCode = 1;
    }
    break;
  case 'history': {
    const all: HistoryVariant[] = ['kills', 'every-frame', 'wal-cut', 'wal-flip', 'block-flip'];
    for (const variant of (values.variant as HistoryVariant[] | undefined) ?? all) {
      for (const planted of [false, true]) {
        // The log of writes is cut at each of its frames.
        const full = variant === 'every-frame' ? Number.POSITIVE_INFINITY : 200;
        const times = planted ? 10 : Number(values.kills ?? (values.small ? 10 : full));
        const report = await proveHistory({ variant, times, seed: Number(values.seed), planted });
        print(report);
        const holds = report.lost + report.doubled + report.wrong + report.misjudged === 0;
        if (holds === planted) process.exitCode = 1;
      }
    }
    break;
  }
  case 'restart':
    for (const jar of ['misses', 'makes'] as const) {
      const kills = Number(values.kills ?? (values.small ? 3 : 50));
      const report = await proveRestart({ jar, kills, seed: Number(values.seed) });
      print(report);
      if (report.different + report.doubled + report.recordFaults > 0) process.exitCode = 1;
    }
    break;
  case 'faults': {
    const seed = Number(values.seed);
    const reports = [
      await proveNoticesWrites({ writes: Number(values.writes ?? (values.small ? 6 : 40)), seed }),
      await proveNoticesKills({ kills: Number(values.kills ?? (values.small ? 4 : 40)), seed }),
      await proveNoticesWrites({ writes: 1, seed, early: true }),
    ];
    for (const report of reports) {
      print(report);
      const holds = report.lost + report.falselySent + report.doubled === 0;
      if (holds !== (report.variant !== 'early')) process.exitCode = 1;
    }
    const wires = [
      await proveCuts({ cuts: values.small ? 6 : 50, seed }),
      await proveCuts({ cuts: values.small ? 6 : 50, seed, lossy: true }),
      await proveNight({ hours: values.small ? 2 : 8, seed }),
      await proveNight({ hours: values.small ? 2 : 8, seed, lossy: true }),
    ];
    for (const report of wires) {
      print(report);
      if ((report.lost + report.doubled === 0) !== (report.fault === 'none')) process.exitCode = 1;
    }
    break;
  }
  case 'month':
    for (const deaf of [false, true]) {
      const report = proveMonth({
        seed: Number(values.seed),
        days: Number(values.days ?? (values.small ? 8 : 30)),
        deaf,
      });
      print(report);
      const told =
        report.warnedOnTwoWays === report.doomed && report.unneededWarns <= 1 && report.unneededAlarms === 0;
      if (told === deaf) process.exitCode = 1;
    }
    break;
  case 'disk':
    for (const early of [false, true]) {
      const report = await proveDisk({ fullMs: values.small ? 2_000 : 20_000, early });
      print(report);
      const holds = report.lost + report.doubled + report.acknowledgedWhileFull === 0;
      if (holds === early) process.exitCode = 1;
    }
    break;
  case 'soak': {
    const minutes = Number(values.minutes ?? (values.small ? 0.1 : 30));
    const variant = (values.variant?.[0] ?? 'usual') as SoakVariant;
    const report = await proveSoak({ minutes, perSecond: 2_000, seed: Number(values.seed), variant });
    print(report);
    const flat = values.small || Math.abs(report.endMb - report.warmMb) <= 5;
    if (report.lost + report.doubled > 0 || !flat) process.exitCode = 1;
    break;
  }
  case 'clock':
    for (const [scene, fault] of clockPlays) {
      for (let seed = Number(values.seed); seed < Number(values.seed) + (values.small ? 1 : 5); seed++) {
        const report = await proveClock({
          scene,
          seed,
          size: values.small ? 'small' : 'full',
          ...(fault === null ? {} : { fault }),
        });
        print(report);
        if (isClockWrong(report) !== (fault !== null)) process.exitCode = 1;
      }
    }
    break;
  case 'shutdown': {
    const report = await proveShutdown();
    print(report);
    if (report.code !== 0 || report.lost > 0 || report.endedInMs >= 2_000 || report.second.code !== 1) {
      process.exitCode = 1;
    }
    break;
  }
  case 'attack': {
    const report = await proveAttack();
    print(report);
    if (report.found.length + report.missed.length > 0) process.exitCode = 1;
    break;
  }
  case 'mirror':
    for (const variant of ['stops', 'kills'] as const) {
      const report = await proveMirror({
        variant,
        outages: Number(values.outages ?? (values.small ? 1 : 8)),
        seed: Number(values.seed),
        outageMostMs: values.small ? 500 : 8_000,
      });
      print(report);
      if (report.lost + report.doubled + report.wrong + report.strange > 0) process.exitCode = 1;
    }
    break;
  case 'curve': {
    const points = readFileSync(values.file ?? '', 'utf8')
      .split('\n')
      .filter((line) => /^\d/.test(line))
      .map((line) => line.split(',').map(Number) as [number, number])
      .filter(([atS]) => atS >= Number(values.from) && atS <= Number(values.to))
      .map(([atS, tempC]) => ({ atS: atS - Number(values.from), tempC }));
    const play = {
      points,
      beginAtS: 0,
      limitC: Number(values.limit),
      spanMs: Number(values['span-min']) * 60_000,
    };
    const { forecast, ...outcome } = await playCurve({ ...play, pageFolder: 'dashboard/dist' });
    print({ proof: 'curve', ...outcome, forecast: forecast && { ...forecast, path: forecast.path.length } });
    if (outcome.kept !== outcome.played || outcome.different > 0) process.exitCode = 1;
    break;
  }
  default:
    process.stderr.write(help);
    process.exitCode = values.help ? 0 : 2;
}

function print(report: object): void {
  process.stdout.write(`${JSON.stringify(report)}\n`);
}
