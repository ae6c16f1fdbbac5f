import { describe, expect, it } from 'vitest';
import {
  type Body,
  conduction,
  freezingBody,
  networkOf,
  plainBody,
  reservoir,
  solidKg,
  tempC,
} from '../../../probes/simulated/heat-network.ts';

const zeroK = 273.15;

function cool(o: {
  capacityJPerK: number;
  wPerK: number;
  startC: number;
  aroundC: number;
  spanS: number;
  stepS: number;
}) {
  const body = plainBody({ capacityJPerK: o.capacityJPerK, startC: o.startC });
  const advance = networkOf([{ from: body, to: reservoir(() => o.aroundC), watts: conduction(o.wPerK) }]);
  for (let atS = 0; atS < o.spanS; atS += o.stepS) advance(o.stepS);
  return tempC(body);
}

describe('a network with one body', () => {
  it('follows Newton: the textbook steel ball after an hour', () => {
    // Geankoplis, example 5.2-1: radius 25.4 mm, 699.9 K into 394.3 K, h 11.36, answer 474.6 K.
    const areaM2 = 4 * Math.PI * 0.0254 ** 2;
    const massKg = 7849 * (4 / 3) * Math.PI * 0.0254 ** 3;
    const endC = cool({
      capacityJPerK: massKg * 460.6,
      wPerK: 11.36 * areaM2,
      startC: 699.9 - zeroK,
      aroundC: 394.3 - zeroK,
      spanS: 3600,
      stepS: 1,
    });
    expect(endC + zeroK).toBeCloseTo(474.6, 1);
  });

  it('follows the closed form of the lumped body within a ten-thousandth of a degree', () => {
    // T = Ta + (Ti - Ta) exp(-t/τ), here the jar of 35 °C in 1 °C with τ 0.5 h: 4.444 °C after 1.1448 h.
    const endC = cool({ capacityJPerK: 1800, wPerK: 1, startC: 35, aroundC: 1, spanS: 4121, stepS: 1 });
    expect(endC).toBeCloseTo(1 + 34 * Math.exp(-4121 / 1800), 4);
    expect(endC).toBeCloseTo(4.444, 2);
  });

  it('errs four times less with half the step, as a second-order rule does', () => {
    const errorAt = (stepS: number) =>
      cool({ capacityJPerK: 100, wPerK: 1, startC: 35, aroundC: 0, spanS: 100, stepS }) - 35 * Math.exp(-1);
    expect(errorAt(10) / errorAt(5)).toBeCloseTo(4, 0);
  });
});

describe('a network', () => {
  it('loses no heat between its bodies, whatever flows', () => {
    const bodies: Body[] = [
      plainBody({ capacityJPerK: 4000, startC: 35 }),
      plainBody({ capacityJPerK: 300, startC: 20 }),
      freezingBody({ ...ice, massKg: 2, solidKg: 1, startC: 0 }),
      reservoir(() => 18),
    ];
    const [milk, wall, bath, room] = bodies as [Body, Body, Body, Body];
    const advance = networkOf([
      { from: milk, to: wall, watts: (a, b) => 10 * Math.sign(a - b) * Math.abs(a - b) ** 1.25 },
      { from: wall, to: bath, watts: conduction(15) },
      { from: room, to: bath, watts: conduction(1.2) },
    ]);
    const totalJ = () => bodies.reduce((sum, body) => sum + body.heatJ, 0);
    const beforeJ = totalJ();
    for (let second = 0; second < 7200; second += 1) advance(1);
    expect(Math.abs(totalJ() - beforeJ)).toBeLessThan(1e-3);
    expect(room.heatJ).toBeLessThan(-1000);
  });
});

const ice = { freezesC: 0, latentJPerKg: 333_400, liquidJPerKgK: 4190, solidJPerKgK: 2097 };

describe('a freezing body', () => {
  const of = { ...ice, massKg: 2 };

  it('stands at its freezing point from the first ice to the last', () => {
    const body = freezingBody({ ...of, startC: 10, solidKg: 0 });
    const states = [-2, -1, -0.5, 0].map((share) => {
      body.heatJ = share * of.latentJPerKg;
      return { tempC: tempC(body), solidKg: solidKg(body, of) };
    });
    expect(states).toEqual([
      { tempC: 0, solidKg: 2 },
      { tempC: 0, solidKg: 1 },
      { tempC: 0, solidKg: 0.5 },
      { tempC: 0, solidKg: 0 },
    ]);
  });

  it('cools on once all is solid, with the heat of the solid', () => {
    const body = freezingBody({ ...of, startC: 0, solidKg: 2 });
    body.heatJ -= 2 * 2097 * 5;
    expect(tempC(body)).toBeCloseTo(-5, 9);
    expect(solidKg(body, of)).toBe(2);
  });
});
