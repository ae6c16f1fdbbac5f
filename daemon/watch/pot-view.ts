import type { Forecast } from '../../shared/contract/forecast.ts';
import type { HeatState, HeatView, HoldState, HoldView } from '../../shared/contract/pot-view.ts';
import { crossedAtMs } from './crossing.ts';
import type { Heat } from './heat.ts';
import type { Hold } from './hold.ts';
import { countedMs } from './hold-clock.ts';
import { holdCrossingOf, provesAtMsOf } from './hold-step.ts';
import type { Lane } from './lane.ts';
import { standsStill } from './lane-doubt.ts';

/** How an open heat is shown; null where the lane has none. */
export function heatViewOf(lane: Lane): HeatView | null {
  const { heat } = lane;
  if (heat === null) return null;
  const { outlook, window } = heat;
  return {
    v: 1,
    id: heat.id,
    kind: 'heat',
    probe: heat.probe,
    state: heatStateOf(lane, heat),
    sinceMs: heat.sinceMs,
    window,
    marginC: heat.marginC,
    latest: heat.latest,
    rateCPerMin: outlook?.rateCPerMin ?? null,
    short: heat.short,
    level: outlook?.levelC ?? null,
    withLid: outlook?.withLid ?? null,
    boilsC: heat.boilsC,
    coast: outlook?.coastC ?? null,
    offAtMs: heat.offSaidMs ?? heat.offDueMs,
    turnedAtMs: heat.turnedMs === null ? null : Math.round(heat.turnedMs),
    stir: heat.stir.fast,
    crossedAtMs: crossedAtMs(heat.typed),
    mostC: heat.mostC,
    silentSinceMs: lane.silentSinceMs,
    doubt: lane.trust.doubt,
    forecast: heatForecastOf(heat),
  };
}

/** The forecast of a heat as the contract has it; null while there is too little to say. */
export function heatForecastOf(heat: Heat): Forecast | null {
  const { outlook, bank } = heat;
  if (outlook === null) return null;
  const { dataToMs, chance, crossing, atDeadline, path, roomC } = outlook;
  const crossedMs = heat.reached ? crossedAtMs(heat.typed) : null;
  return {
    v: 1,
    watch: heat.id,
    madeAtMs: dataToMs,
    dataToMs,
    verdict: heat.verdict,
    chance,
    crossing: crossedMs === null ? crossing : { p10: crossedMs, p50: crossedMs, p90: crossedMs },
    atDeadline,
    path,
    rescues: [],
    assumed: assumedOf(bank, roomC),
    marginC: heat.marginC,
  };
}

/** How an open hold is shown; null where the lane has none. */
export function holdViewOf(lane: Lane): HoldView | null {
  const { hold } = lane;
  if (hold === null) return null;
  const { guarded, outlook, proof, window } = hold;
  const holds = guarded.startMs !== null;
  return {
    v: 1,
    id: hold.id,
    kind: 'hold',
    probe: hold.probe,
    state: holdStateOf(lane, hold),
    sinceMs: hold.sinceMs,
    window,
    marginC: hold.marginC,
    latest: hold.latest,
    rateCPerMin: outlook?.rateCPerMin ?? null,
    heldSinceMs: proof?.fromMs ?? guarded.startMs,
    provedMs: Math.round(Math.min(window.holdMs, proof === null ? countedMs(guarded) : window.holdMs)),
    provesAtMs: provesAtMsOf(hold),
    leastC: proof?.leastC ?? (holds ? guarded.leastC : null),
    mostC: proof?.mostC ?? (holds ? guarded.mostC : null),
    airLeastC: proof === null ? (hold.air?.leastC ?? null) : proof.airLeastC,
    lastBreak: hold.lastBreak,
    proof,
    cooledAtMs: hold.cooledMs,
    silentSinceMs: lane.silentSinceMs,
    doubt: lane.trust.doubt,
    forecast: holdForecastOf(hold),
    leaves: outlook?.leaves ?? null,
  };
}

/** The forecast of a hold as the contract has it; null while there is too little to say. */
export function holdForecastOf(hold: Hold): Forecast | null {
  const { outlook, bank, proof, window } = hold;
  if (outlook === null) return null;
  const { dataToMs, chance, path, roomC, cools } = outlook;
  const cooling = proof !== null && window.coolToC !== null;
  return {
    v: 1,
    watch: hold.id,
    madeAtMs: dataToMs,
    dataToMs,
    verdict: hold.verdict,
    chance: proof === null ? chance : 1,
    crossing: cooling ? cools : holdCrossingOf(hold, outlook),
    atDeadline: null,
    path,
    rescues: [],
    assumed: assumedOf(bank, roomC),
    marginC: hold.marginC,
  };
}

function assumedOf({ told }: Heat['bank'], aroundC: number): Forecast['assumed'] {
  const from = told.roomC === null ? 'inferred' : 'measured';
  return { place: 'pot', aroundC, volumeL: told.volumeL, from };
}

function heatStateOf(lane: Lane, heat: Heat): HeatState {
  if (lane.silentSinceMs !== null) return 'silent';
  if (lane.trust.doubt !== null) return 'doubted';
  if (heat.over) return 'over';
  if (heat.reached) return 'reached';
  if (heat.missed) return 'missed';
  if (heat.short !== null) return 'not-on-course';
  if (heat.offSaidMs !== null) return 'heat-off';
  switch (heat.verdict) {
    case 'on-course':
    case 'not-on-course':
    case 'doubted':
      return heat.verdict;
    case 'unsure':
      return 'too-early';
    default:
      return heat.verdict satisfies never;
  }
}

function holdStateOf(lane: Lane, hold: Hold): HoldState {
  if (hold.cooledMs !== null) return 'cooled';
  if (hold.proof !== null) return 'proved';
  if (lane.silentSinceMs !== null) return 'silent';
  if (lane.trust.doubt !== null && !standsStill(lane)) return 'doubted';
  if (hold.guarded.startMs === null) return hold.lastBreak === null ? 'waiting' : 'begun-again';
  if (hold.driftSaid) return 'drifting';
  return hold.verdict === 'doubted' ? 'doubted' : 'holding';
}
