import { z } from 'zod';
import {
  anyWatchView,
  health,
  historyView,
  houseView,
  liveValueMessage,
  notice,
  probeView,
  problem,
  recordPage,
} from '../../shared/contract/api.ts';
import { forecast } from '../../shared/contract/forecast.ts';
import { postedWord, wordAnswer } from '../../shared/contract/word.ts';

/** What the OpenAPI document says of a schema beside its shape: the name of its component, or its rule. */
export const described = z.registry<{ id?: string; description?: string }>();

for (const [id, schema] of Object.entries({
  House: houseView,
  Probe: probeView,
  Watch: anyWatchView,
  Forecast: forecast,
  History: historyView,
  Notice: notice,
  RecordPage: recordPage,
  PostedWord: postedWord,
  WordAnswer: wordAnswer,
  Health: health,
  LiveValue: liveValueMessage,
  Problem: problem,
})) {
  described.add(schema, { id });
}
