/**
 * `npm run skill -- …`: `keep …` scores the keeping of cold places, `starts …` the feeling for milk, `rescues …`
 * the ways out, `learning …` what a house's own chills teach, anything else the chill's forecast. Each reads its own arguments.
 */
const [part] = process.argv.slice(2);
if (part === 'keep' || part === 'starts' || part === 'rescues' || part === 'learning')
  process.argv.splice(2, 1);
if (part === 'keep') await import('./keep/run.ts');
else if (part === 'starts') await import('./everyday/run.ts');
else if (part === 'learning') await import('./learning/run.ts');
else if (part === 'rescues') await import('./rescue/run.ts');
else await import('./run.ts');

export {};
