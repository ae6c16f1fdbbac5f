/** From stories of jars to the figures of a skill table. */
import { askedMin, type Forecaster, forecasters, type JarStory, type Mode, modes } from './follow-jar.ts';
import { deadlineMin, truthMin } from './jar.ts';

/** How one forecaster did at one asked minute, over the jars that were still above the limit then. */
export type MomentScore = {
  atMin: number;
  jars: number;
  /** Shares of those jars. */
  right: number;
  alwaysNo: number;
  brier: number;
  /** Error of the median crossing in minutes; never counts as four hours. */
  errorMedianMin: number;
  errorP90Min: number;
  /** Share of truths inside p10..p90, of jars whose p10 is finite. */
  covered: number;
  coveredJars: number;
};

/** How one forecaster warned. Shares are of doomed and of good jars; leads are minutes before the deadline. */
export type WarningScore = {
  doomed: number;
  missed: number;
  leadMedianMin: number;
  leadLowerMin: number;
  goodStaying: number;
  falseStaying: number;
  falseAll: number;
};
export type Score = { mode: Mode; forecaster: Forecaster; moments: MomentScore[]; warning: WarningScore };

/** Scores all forecasters in both modes over the stories given. */
export function scoreStories(stories: readonly JarStory[]): Score[] {
  return modes.flatMap((mode) =>
    forecasters.map((forecaster) => ({
      mode,
      forecaster,
      moments: askedMin.map((atMin, place) => scoreMoment(stories, { mode, forecaster, atMin, place })),
      warning: scoreWarnings(stories, mode, forecaster),
    })),
  );
}

const makesIt = ({ crossedMin }: JarStory) => crossedMin !== null && crossedMin <= deadlineMin;
const capped = (minutes: number | null) => Math.min(truthMin, minutes ?? truthMin);

function scoreMoment(
  stories: readonly JarStory[],
  of: { mode: Mode; forecaster: Forecaster; atMin: number; place: number },
): MomentScore {
  const open = stories.filter(({ crossedMin }) => crossedMin === null || crossedMin > of.atMin);
  let right = 0;
  let brier = 0;
  let covered = 0;
  let coveredJars = 0;
  const errors: number[] = [];
  for (const story of open) {
    const said = story.runs[of.mode][of.forecaster].said[of.place] ?? null;
    const makes = makesIt(story);
    const truth = capped(story.crossedMin);
    if (said !== null && said.chance >= 0.5 === makes) right++;
    brier += ((said?.chance ?? 0.5) - (makes ? 1 : 0)) ** 2;
    errors.push(Math.abs(capped(said?.p50 ?? truthMin) - truth));
    if (said === null || said.p10 >= truthMin) continue;
    coveredJars++;
    if (capped(said.p10) <= truth && truth <= capped(said.p90)) covered++;
  }
  errors.sort((a, b) => a - b);
  return {
    atMin: of.atMin,
    jars: open.length,
    right: right / open.length,
    alwaysNo: open.filter((story) => !makesIt(story)).length / open.length,
    brier: brier / open.length,
    errorMedianMin: sortedQuantile(errors, 0.5),
    errorP90Min: sortedQuantile(errors, 0.9),
    covered: covered / coveredJars,
    coveredJars,
  };
}

function scoreWarnings(stories: readonly JarStory[], mode: Mode, forecaster: Forecaster): WarningScore {
  const doomed = stories.filter((story) => !makesIt(story));
  const good = stories.filter(makesIt);
  const staying = good.filter(({ moved }) => !moved);
  const warnedOf = (story: JarStory) => story.runs[mode][forecaster].warnedMin;
  const isFalse = (story: JarStory) => (warnedOf(story) ?? truthMin) < (story.crossedMin as number);
  const leads = doomed.map((story) => deadlineMin - (warnedOf(story) ?? deadlineMin)).sort((a, b) => a - b);
  return {
    doomed: doomed.length,
    missed: leads.filter((lead) => lead <= 0).length / doomed.length,
    leadMedianMin: sortedQuantile(leads, 0.5),
    leadLowerMin: sortedQuantile(leads, 0.25),
    goodStaying: staying.length,
    falseStaying: staying.filter(isFalse).length / staying.length,
    falseAll: good.filter(isFalse).length / good.length,
  };
}

function sortedQuantile(sorted: readonly number[], share: number): number {
  if (sorted.length === 0) return Number.NaN;
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] as number;
}
