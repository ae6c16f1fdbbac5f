import type { Letter } from '../../../../shared/contract/notify.ts';

/** A letter as a way gets it. */
export const warning: Letter = {
  v: 1,
  id: 'chill-jar-7/chill-will-miss/1/first',
  house: 'larkfell-7q2m',
  houseName: 'Larkfell',
  simulated: false,
  recorded: true,
  receiver: 'milker',
  why: 'first',
  weight: 'warn',
  madeAtMs: Date.UTC(2026, 3, 18, 7, 4),
  matter: 'chill-jar-7:course',
  code: 'chill-will-miss',
  watch: 'chill-jar-7',
  probe: 'jar',
  subject: 'Larkfell: Jar 2: into stirred ice by 7:12, or it comes under 40 °F near 8:32.',
  text: 'Jar 2: into stirred ice by 7:12, or it comes under 40 °F near 8:32.\nSecond line.',
  event: null,
};
