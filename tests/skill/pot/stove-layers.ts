/**
 * Pots of population 1: a network of coil, pan bottom, milk, pan wall and lid. Film coefficients of free
 * convection and radiation, vapour by Lewis's relation with a share that the lid lets go. Nothing here is
 * taken from the forecast's own rooms.
 */
import type { Dice } from '../dice.ts';
import { oneOf } from './one-of.ts';
import type { PotScene, PotWorld } from './pot.ts';
import { openPotProbe } from './pot-probe.ts';
import { type Knob, knobOf } from './stove-knob.ts';

type Build = {
  milkJ: number;
  bottomJ: number;
  wallJ: number;
  coilJ: number;
  coilToBottom: number;
  bottomToMilk: number;
  milkToWall: number;
  topM2: number;
  sideM2: number;
  vapourShare: number;
  moisture: number;
  burnerW: number;
  airPa: number;
};

/** Draws a pot and its stove. */
export function layersPot(dice: Dice, scene: PotScene): PotWorld {
  const build = drawBuild(dice, scene);
  const roomC = dice.between(15, 27);
  const startC = dice.between(4, 36);
  const knob: Knob = knobOf(dice, scene);
  const boilsC = boilAt(build.airPa);
  const probe = openPotProbe(dice, { startC, roomC, scene });
  const everyMs = 1000 * oneOf(dice, [1, 2, 3, 5, 10]);
  let coilC = dice.happens(0.75) ? roomC : startC + 60;
  let bottomC = startC;
  let milkC = startC;
  let wallC = startC;
  let nowS = 0;
  const stepS = 1;
  const stirs = new Set(Array.from({ length: 14 }, () => Math.floor(dice.between(60, 7200))));
  return {
    scene,
    everyMs,
    roomC,
    boilsC,
    next: (burnerOff) => {
      for (let done = 0; done < everyMs / 1000; done += stepS) {
        const watts = burnerOff ? 0 : build.burnerW * knob(nowS);
        const coilW = (coilC - bottomC) * build.coilToBottom;
        const bottomW = (bottomC - milkC) * build.bottomToMilk;
        const sideW = (milkC - wallC) * build.milkToWall;
        const wallW = build.sideM2 * (wallC - roomC) * (film(wallC, roomC, 1.42) + 5.2 * 0.6);
        const topW = topLoss(build, milkC, roomC);
        coilC += (stepS * (watts - coilW)) / build.coilJ;
        bottomC += (stepS * (coilW - bottomW)) / build.bottomJ;
        wallC += (stepS * (sideW - wallW)) / build.wallJ;
        milkC = Math.min(boilsC, milkC + (stepS * (bottomW - sideW - topW)) / build.milkJ);
        nowS += stepS;
        if (nowS === scene.poured?.atS) milkC -= scene.poured.dropC;
        probe.follow({ milkC, bottomC, stirred: stirs.has(Math.floor(nowS)), spanS: stepS, atS: nowS });
      }
      return { atMs: nowS * 1000, tempC: probe.read(), milkC, burnerShare: burnerOff ? 0 : knob(nowS) };
    },
  };
}

function drawBuild(dice: Dice, scene: PotScene): Build {
  const { volumeL, lid, heightM } = scene;
  const radiusM = (volumeL / 1000 / Math.PI / dice.between(0.8, 1.6)) ** (1 / 3);
  const depthM = volumeL / 1000 / (Math.PI * radiusM ** 2);
  const topM2 = Math.PI * radiusM ** 2;
  const rim = dice.between(1.1, 1.9);
  const panKg = dice.between(0.5, 1.3) * volumeL ** 0.67 * 0.9;
  const panJPerKg = dice.happens(0.3) ? 385 : dice.happens(0.5) ? 900 : 480;
  const electric = dice.happens(0.5);
  const perLitreW = dice.logBetween(120, 500) * (volumeL / 3) ** -0.3;
  const lets = lid ? dice.between(0.01, 0.07) : dice.between(0.75, 1.15);
  return {
    milkJ: volumeL * dice.between(1.02, 1.035) * dice.between(3850, 3960),
    bottomJ: panKg * panJPerKg * 0.45,
    wallJ: panKg * panJPerKg * 0.55,
    coilJ: electric ? dice.between(200, 1000) : dice.between(20, 120),
    coilToBottom: electric ? dice.between(5, 14) : dice.between(5, 12),
    bottomToMilk: topM2 * dice.between(500, 1400),
    milkToWall: 2 * Math.PI * radiusM * depthM * dice.between(150, 500),
    topM2,
    sideM2: 2 * Math.PI * radiusM * depthM * rim,
    vapourShare: lets,
    moisture: dice.between(0.3, 0.65),
    burnerW: perLitreW * volumeL * dice.between(0.8, 1.1),
    airPa: 101_325 * (1 - heightM / 44_329) ** 5.2559,
  };
}

/** Free convection over a size of some 0.2 m, W/m²K. */
function film(hotC: number, coldC: number, scale: number): number {
  return scale * (Math.max(0.5, Math.abs(hotC - coldC)) / 0.2) ** 0.25;
}

function topLoss({ topM2, vapourShare, moisture, airPa }: Build, milkC: number, roomC: number): number {
  const dry = film(milkC, roomC, 1.32);
  const surface = magnusPa(milkC);
  const drive = Math.max(0, surface - moisture * magnusPa(roomC));
  // Lewis: hm = h / (rho cp); vapour density by the ideal gas; blown faster as the vapour fills the air.
  const vapour = (drive / (461.5 * (milkC + 273))) * (dry / (1.07 * 1007)) * 2_340_000;
  const blows = airPa / Math.max(0.06 * airPa, airPa - surface);
  return topM2 * (vapourShare * vapour * Math.min(8, blows) + (dry + 5) * (milkC - roomC) * 0.8);
}

function magnusPa(tempC: number): number {
  return 610.94 * Math.exp((17.625 * tempC) / (tempC + 243.04));
}

function boilAt(airPa: number): number {
  const log = Math.log(airPa / 610.94);
  // Magnus is 1.5 % off at 100 °C; the boil is set by it here, so that the world agrees with itself.
  return (243.04 * log) / (17.625 - log) + 0.16;
}
