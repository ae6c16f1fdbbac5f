/** The forms in which readings leave the house, as addresses and the command line name them; the page reads this list, too. */
export const exportFormNames = ['csv', 'trace', 'jsonl', 'senml', 'lp'] as const;
export type ExportFormName = (typeof exportFormNames)[number];
