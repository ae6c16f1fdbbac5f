import type { FaultNote } from './fault-note.ts';

/** Codes of what was asked wrongly: on the command line, over HTTP, in a word, in a trace. */
export const askingFaults = {
  CLI_ARGUMENT: {
    meaning: 'The command line asks for what there is not.',
    whatToDo: 'See springhouse --help, or --help after the command.',
  },
  HOUSE_AWAY: {
    meaning: 'No house runs at the address that was asked.',
    whatToDo: 'Start it with springhouse run, or give the address with --url.',
  },
  IMPORT_FILE: {
    meaning: 'A file that was to be imported cannot be read.',
    whatToDo: 'Give the path of a file that this user may read.',
  },
  IMPORT_ROW: {
    meaning:
      'A row of a file that was to be imported is no reading by the mapping given. Nothing was written.',
    whatToDo: 'Mend the row or the mapping, or give --leave-out-faults to go on without such rows.',
  },
  PLAN_OPTION: {
    meaning: 'An option of the planner cannot be read.',
    whatToDo: 'See springhouse plan --help.',
  },
  PRIOR_FILE: {
    meaning: 'The file given to `springhouse replay --prior` holds no learned prior.',
    whatToDo: 'Export it again with `springhouse prior export`.',
  },
  REPLAY_OPTION: {
    meaning: 'An option of a replay cannot be read or does not fit the trace.',
    whatToDo: 'See springhouse replay --help.',
  },
  TRACE_FILE: {
    meaning: 'The trace cannot be read.',
    whatToDo: 'Give the path of a CSV file that this user may read.',
  },
  TRACE_HEAD: {
    meaning: 'The first line of a trace does not name its columns: at, then one for each probe.',
    whatToDo: 'Name the first column at; give each probe a column of its own.',
  },
  TRACE_ROW: {
    meaning: 'A row of a trace has an instant or a number that cannot be read.',
    whatToDo: 'Write instants as RFC 3339 or epoch milliseconds and temperatures as plain numbers in °C.',
  },
  HTTP_LISTEN: {
    meaning:
      'The page cannot be served at its address: the port is taken, or the address is not this machine’s own.',
    whatToDo: 'Stop what listens there, or give another port.',
  },
  HTTP_PAGE: {
    meaning: 'The folder of the page is not what the build makes.',
    whatToDo: 'Run npm run build.',
  },
  PAGE_MISSING: {
    meaning: 'The page has not been built.',
    whatToDo: 'Run npm run build.',
  },
  HTTP_HOST: {
    meaning: 'The request names another host than this machine and port.',
    whatToDo: 'Use the address that the daemon printed.',
  },
  HTTP_ORIGIN: {
    meaning: 'A page of another origin asked.',
    whatToDo: 'Use the page that Springhouse serves.',
  },
  HTTP_TYPE: {
    meaning: 'What was posted is not called JSON.',
    whatToDo: 'Send it with the content type application/json.',
  },
  HTTP_BODY: {
    meaning: 'What was posted does not fit its schema.',
    whatToDo: 'Correct the field that the message names; /api/openapi.json has the schema.',
  },
  HTTP_LONG: {
    meaning: 'What was posted is too long.',
    whatToDo: 'Send less.',
  },
  HTTP_QUERY: {
    meaning: 'A parameter of the query does not fit its rule.',
    whatToDo: 'Correct the parameter that the message names.',
  },
  HTTP_PATH: {
    meaning: 'Nothing is served at this path.',
    whatToDo: 'See /api/openapi.json for what there is.',
  },
  HTTP_MALFORMED: {
    meaning: 'What arrived is not an HTTP request, or its head is too large.',
    whatToDo: 'Use a browser or another HTTP client.',
  },
  HTTP_BUG: {
    meaning: 'The house failed to answer.',
    whatToDo: 'Look at the log of the daemon and report what it says.',
  },
  EXPORT_FULL: {
    meaning: 'As many exports are under way as are let in.',
    whatToDo: 'Wait for one to end, or use springhouse history export.',
  },
  LIVE_FULL: {
    meaning: 'As many clients read the live feed as are let in.',
    whatToDo: 'Close a page elsewhere, or come again.',
  },
  PROBE_UNKNOWN: {
    meaning: 'The house has no probe of this id.',
    whatToDo: 'See /api/probes for those it has.',
  },
  WATCH_UNKNOWN: {
    meaning: 'The house has no watch of this id.',
    whatToDo: 'See /api/watches for those it has.',
  },
  WAY_UNKNOWN: {
    meaning: 'The house has no way of this id.',
    whatToDo: 'See /api/ways for those it has.',
  },
  WORD_PROBE: {
    meaning: 'A word names a probe that the house does not have.',
    whatToDo: 'Name one that it has.',
  },
  WORD_PLACE: {
    meaning: 'A word names a place that the house does not have.',
    whatToDo: 'Name one of the house file.',
  },
  WORD_WATCH: {
    meaning: 'A word names a watch that is not open.',
    whatToDo: 'Look which watches there are.',
  },
  WORD_HOLD: {
    meaning:
      'A heat or a hold was asked for that readings of a probe cannot show: shorter than a minute, or a pair of continuous flow.',
    whatToDo: 'Ask for a minute or more, or for a batch pair by its name.',
  },
  WORD_INSTANT: {
    meaning: 'A word tells an instant that cannot be: in the future, or too long ago.',
    whatToDo: 'Say when it was.',
  },
} as const satisfies Record<string, FaultNote>;
