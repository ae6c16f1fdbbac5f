/**
 * A curve played as SenML down a real serial line, through the running house to a real browser: what was
 * played is what the history holds, and the page says how the verdict turned.
 */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import type { Springhouse } from '../../daemon/compose.ts';
import { openReader } from '../../daemon/reader.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import type { WatchView } from '../../shared/contract/api.ts';
import type { Speech } from '../../shared/sentences/speech.ts';
import { watchSentence } from '../../shared/sentences/watch-sentence.ts';
import { openBrowser } from '../browser/chromium.ts';
import { houseOf, openTestHouse } from '../daemon/open-test-house.ts';
import { type SerialPair, startSerialPair } from '../machine/serial-pair.ts';

/** One point of a curve: seconds from its start, °C. */
export type CurvePoint = { atS: number; tempC: number };

export type CurvePlay = {
  points: readonly CurvePoint[];
  /** Where the milk went in, seconds from the curve's start; a word says so before the curve is played. */
  beginAtS: number;
  limitC: number;
  spanMs: number;
  /** The folder of the built page. */
  pageFolder: string;
};

export type CurveOutcome = {
  played: number;
  kept: number;
  /** Readings that the history does not hold as they were played. */
  different: number;
  /** The words for the watch that the browser showed, in order. */
  shown: string[];
  forecast: WatchView['forecast'];
};

const probe = 'jar';
const speech: Speech = { language: 'en', units: 'F', zone: 'UTC', names: {} };
const pieces = 12;

/** Plays a curve in pieces, so that the page is seen to follow; its last reading is a minute old. */
export async function playCurve(play: CurvePlay): Promise<CurveOutcome> {
  const dataDir = await mkdtemp(join(tmpdir(), 'springhouse-curve-'));
  const line = await startSerialPair();
  const browser = await openBrowser();
  const house = await openHouse({ dataDir, line, pageFolder: play.pageFolder });
  try {
    const rows = stamped(play.points);
    const page = await browser.newPage();
    await page.goto(house.url);
    const shown: string[] = [];
    await begin(house, { ...play, sinceMs: rows.find(({ atS }) => atS >= play.beginAtS)?.atMs ?? 0 });
    await look(page, shown, house);
    for (let piece = 1, sent = 0; piece <= pieces; piece++) {
      const part = rows.slice(sent, Math.ceil((piece * rows.length) / pieces));
      await send(line, part);
      sent += part.length;
      await until(async () => (await taken(house)) === sent, `${sent} readings`);
      await look(page, shown, house);
    }
    const watch = await watchOf(house);
    const kept = await keptRows(dataDir, rows);
    const played = new Map(rows.map(({ atMs, tempC }) => [atMs, tempC]));
    const different = kept.filter(({ atMs, tempC }) => played.get(atMs) !== tempC).length;
    return { played: rows.length, kept: kept.length, different, shown, forecast: watch?.forecast ?? null };
  } finally {
    await browser.close();
    await house.close();
    await line.stop();
    await rm(dataDir, { recursive: true, force: true });
  }
}

type Row = CurvePoint & { atMs: number };

function stamped(points: readonly CurvePoint[]): Row[] {
  const endS = points.at(-1)?.atS ?? 0;
  const startMs = Date.now() - 60_000 - endS * 1000;
  return points.map((point) => ({ ...point, atMs: Math.round(startMs + point.atS * 1000) }));
}

async function send(line: SerialPair, rows: readonly Row[]): Promise<void> {
  for (const { atMs, tempC } of rows) await line.write(`${senmlOf([{ probe, atMs, tempC }])}\n`);
}

async function begin(
  house: Springhouse,
  { limitC, spanMs, sinceMs }: CurvePlay & { sinceMs: number },
): Promise<void> {
  const answer = await fetch(`${house.url}/api/words`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({
      v: 1,
      id: 'curve-begin-word',
      word: { kind: 'chill-begin', probe, limitC, spanMs, sinceMs },
    }),
  });
  if (!answer.ok) throw new Error(`the word must be taken, got ${answer.status}: ${await answer.text()}`);
}

async function taken(house: Springhouse): Promise<number> {
  const { probes } = (await (await fetch(`${house.url}/api/probes`)).json()) as {
    probes: { id: string; counts: { taken: number } }[];
  };
  return probes.find(({ id }) => id === probe)?.counts.taken ?? 0;
}

async function watchOf(house: Springhouse): Promise<WatchView | undefined> {
  const { watches } = (await (await fetch(`${house.url}/api/watches`)).json()) as { watches: WatchView[] };
  return watches[0];
}

/** Waits until the browser says what the house says of its watch, and notes the word where it is new. */
async function look(page: Page, shown: string[], house: Springhouse): Promise<void> {
  const told = page.locator('.first-watch .state').first();
  await until(async () => {
    const view = await watchOf(house);
    const word = view === undefined ? 'none' : watchSentence(view, speech, Date.now()).word;
    const text = (await told.textContent({ timeout: 5_000 }).catch(() => null))?.trim();
    if (text === word && shown.at(-1) !== word) shown.push(word);
    return text === word;
  }, 'the word of the watch in the browser');
}

async function keptRows(dataDir: string, rows: readonly Row[]): Promise<{ atMs: number; tempC: number }[]> {
  const reader = await openReader({ dataDir });
  const kept: { atMs: number; tempC: number }[] = [];
  const fromMs = rows[0]?.atMs ?? 0;
  const toMs = (rows.at(-1)?.atMs ?? 0) + 1;
  for await (const slice of reader.rawRange({ probe, fromMs, toMs })) kept.push(...slice);
  await reader.close();
  return kept;
}

async function until(holds: () => Promise<boolean>, what: string): Promise<void> {
  const deadlineMs = performance.now() + 20_000;
  while (!(await holds())) {
    if (performance.now() > deadlineMs) throw new Error(`${what} must come within 20 s`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

function openHouse(o: { dataDir: string; line: SerialPair; pageFolder: string }): Promise<Springhouse> {
  const house = houseOf(`version: 1
house: { name: Curve, height: 0 m, zone: UTC, units: F }
http: { port: 0 }
clock: { trust: always }
probes: [{ id: ${probe}, name: Jar, uncertainty: 0.2 C }]
sources: [{ id: line, kind: serial, path: ${o.line.path}, baudRate: 115200 }]
`);
  return openTestHouse(o.dataDir, { house, pageFolder: o.pageFolder });
}
