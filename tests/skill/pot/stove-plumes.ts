/**
 * Pots of population 2, of another make than the layers: two zones of milk that plumes and stirring mix, a
 * burner whose heat comes in pulses or fades with the bottle, a vapour that goes by a power of the
 * temperature over the room, a skin that holds it back, lids lifted to look in. Losses are one conductance.
 */
import type { Dice } from '../dice.ts';
import { oneOf } from './one-of.ts';
import type { PotScene, PotWorld } from './pot.ts';
import { openPotProbe } from './pot-probe.ts';
import { knobOf } from './stove-knob.ts';

/** Draws a pot and its stove. */
export function plumesPot(dice: Dice, scene: PotScene): PotWorld {
  const { volumeL, lid, heightM } = scene;
  const capacity = volumeL * dice.between(3.9, 4.1) * 1000 + dice.between(200, 900) * volumeL ** 0.6;
  const burnerW = dice.logBetween(130, 500) * volumeL * (volumeL / 3) ** -0.3;
  const pulses = dice.happens(0.3);
  const pulseS = dice.between(6, 30);
  const pulseShare = dice.between(0.5, 0.95);
  const fadesPerS = dice.happens(0.3) ? dice.between(0, 0.1) / 3600 : 0;
  const storeS = dice.logBetween(8, 210);
  const areaM2 = 0.052 * (volumeL / 3) ** 0.667 * dice.between(0.8, 1.4);
  const wallWPerK = areaM2 * 2.2 * dice.between(6, 14);
  const openW = areaM2 * dice.between(1500, 3800);
  const power = dice.between(2.7, 3.6);
  const skin = dice.happens(0.3) ? dice.between(0.3, 0.7) : 0;
  const roomC = dice.between(15, 27);
  const startC = dice.between(4, 36);
  const boilsC = 100.13 - heightM / 300 + heightM ** 2 / 4.5e8;
  const mixesPerS = 1 / dice.logBetween(4, 40);
  const topShare = dice.between(0.2, 0.5);
  const knob = knobOf(dice, scene);
  const probe = openPotProbe(dice, { startC, roomC, scene });
  const everyMs = 1000 * oneOf(dice, [1, 2, 4, 5, 10]);
  const looks = lid
    ? Array.from({ length: 3 }, () => ({ atS: dice.between(200, 4000), spanS: dice.between(5, 30) }))
    : [];
  const stirs = Array.from({ length: 12 }, () => Math.floor(dice.between(60, 7200)));
  const letsLid = dice.between(0.01, 0.09);
  let storedW = 0;
  let lowC = startC;
  let topC = startC;
  let nowS = 0;
  return {
    scene,
    everyMs,
    roomC,
    boilsC,
    next: (burnerOff) => {
      for (let done = 0; done < everyMs / 1000; done++) {
        const share = burnerOff ? 0 : knob(nowS) * (1 - fadesPerS * nowS);
        const pulse = pulses ? ((nowS % pulseS) / pulseS < pulseShare ? 1 / pulseShare : 0) : 1;
        storedW += (burnerW * share * pulse - storedW) / storeS;
        const lifted = looks.some(({ atS, spanS }) => nowS >= atS && nowS < atS + spanS);
        const lets = lid && !lifted ? letsLid : 1;
        const overK = Math.max(0, topC - roomC);
        const nearBoil = 1 + 1.2 * Math.max(0, 1 - (boilsC - topC) / 12) ** 2;
        const held = 1 - skin * Math.min(1, Math.max(0, (topC - 60) / 15));
        const vapourW = openW * lets * held * nearBoil * (overK / 60) ** power;
        const wallW = wallWPerK * (lowC - roomC);
        const stirred = stirs.includes(nowS);
        const mix = stirred ? 0.9 : mixesPerS;
        const flowC = (lowC - topC) * Math.min(0.9, mix * (lowC > topC ? 1 : 0.1));
        lowC += (storedW - wallW) / (capacity * (1 - topShare)) - flowC * topShare;
        topC += -vapourW / (capacity * topShare) + flowC * (1 - topShare);
        lowC = Math.min(boilsC, lowC);
        topC = Math.min(boilsC, topC);
        nowS += 1;
        if (nowS === scene.poured?.atS) {
          lowC -= scene.poured.dropC;
          topC -= scene.poured.dropC;
        }
        const milkC = lowC * (1 - topShare) + topC * topShare;
        // The bottom is hotter than the milk by what it passes on.
        probe.follow({ milkC, bottomC: milkC + storedW / (areaM2 * 900), stirred, spanS: 1, atS: nowS });
      }
      const milkC = lowC * (1 - topShare) + topC * topShare;
      return { atMs: nowS * 1000, tempC: probe.read(), milkC, burnerShare: burnerOff ? 0 : knob(nowS) };
    },
  };
}
