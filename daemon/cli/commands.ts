/** The commands of `springhouse`: what each is for, and its options. */

export type OptionSpec = {
  type: 'string' | 'boolean';
  /** May be given more than once. */
  multiple?: boolean;
  /** What stands for the value in help, such as FILE. */
  value?: string;
  says: string;
};

export type CommandSpec = {
  /** One or two words as typed. */
  name: string;
  summary: string;
  /** Positional arguments as shown in help, such as FILE.csv. */
  takes?: string;
  options: Record<string, OptionSpec>;
  /** What follows the options in help. */
  more?: string;
};

const house: OptionSpec = {
  type: 'string',
  value: 'FILE',
  says: 'the house file (springhouse.yaml unless given)',
};
const data: OptionSpec = { type: 'string', value: 'DIR', says: 'the data folder' };

export const commands: readonly CommandSpec[] = [
  {
    name: 'run',
    summary: 'watch the house: listen to its probes, warn, serve the page, keep the record',
    options: {
      house,
      data,
      demo: { type: 'boolean', says: 'an invented house, simulated, with a data folder of its own' },
      port: { type: 'string', value: 'N', says: 'the port of the page, in place of the house file’s' },
    },
    more: 'Ends in order on SIGTERM or Ctrl-C, within 2 s.',
  },
  {
    name: 'open',
    summary: 'let phones and Wi-Fi probes of the home network in: prints address, pairing code and keys',
    options: {
      data,
      address: {
        type: 'string',
        multiple: true,
        value: 'IP',
        says: 'listen on this address only; on all of the home network unless given',
      },
      name: {
        type: 'string',
        multiple: true,
        value: 'NAME',
        says: 'a name by which browsers reach this machine, such as dairy.local',
      },
      cert: { type: 'string', value: 'FILE', says: 'the certificate in PEM, for https and mqtts' },
      key: { type: 'string', value: 'FILE', says: 'its key in PEM, chmod 640' },
      broker: {
        type: 'string',
        value: 'as-page|plain|no',
        says: 'how the broker listens: as-page (unless given) encrypted where the page is',
      },
    },
    more: `The house stays open over restarts, until springhouse shut. It listens on addresses of home networks only, lets
nobody ask without signing in, and no probe publish without its key. Asked again it changes what is given, makes
another pairing code, and keys for probes that have none.`,
  },
  {
    name: 'shut',
    summary: 'listen on this machine only again',
    options: { data },
  },
  {
    name: 'people code',
    summary: 'make a pairing code, good once and for ten minutes',
    options: {
      data,
      person: { type: 'string', value: 'PERSON', says: 'for a person who forgot the password' },
    },
  },
  {
    name: 'people remove',
    summary: 'remove a person and end all sessions of this person',
    takes: 'PERSON',
    options: { data },
  },
  {
    name: 'people end',
    summary: 'end one session, of a phone that was lost',
    takes: 'SESSION',
    options: { data },
  },
  {
    name: 'people',
    summary: 'list who may come in and where they are signed in',
    options: { data, json: { type: 'boolean', says: 'as JSON' } },
  },
  {
    name: 'key',
    summary: 'make a new key for a probe that publishes from the network; the one before ends',
    takes: 'PROBE',
    options: { data, revoke: { type: 'boolean', says: 'take its key away instead' } },
  },
  {
    name: 'inspect',
    summary:
      'look at everything: serial rights, clock, disk, brokers, probes, ways, doors, certificate; say what to do',
    options: { house, data, json: { type: 'boolean', says: 'as JSON' } },
    more: 'Also while the house runs. Ends with 1 where something is wrong.',
  },
  {
    name: 'check',
    summary: 'judge a house file: every fault at once, with line, rule and what to do',
    takes: 'FILE',
    options: {},
  },
  {
    name: 'replay',
    summary: 'run a logged trace through the very code that runs live; one JSON object a line',
    takes: 'FILE.csv',
    options: {
      watch: {
        type: 'string',
        multiple: true,
        value: "'chill:jar=4.44C/60m'",
        says: 'a watch from the probe’s first reading on: chill, heat:pot=88C[/3h], hold:pot=63C/30m or keep:fridge=0C..4.44C; without, watches start by themselves',
      },
      place: {
        type: 'string',
        multiple: true,
        value: 'jar=freezer',
        says: 'the kind of place where a probe’s milk stands',
      },
      around: {
        type: 'string',
        multiple: true,
        value: 'jar=COLUMN',
        says: 'the column that measures the air or water around it',
      },
      volume: { type: 'string', multiple: true, value: 'jar=0.95L', says: 'how much milk it is' },
      height: { type: 'string', value: '0m', says: 'the house’s height above sea level' },
      uncertainty: { type: 'string', value: '0C', says: 'how far the probes may be off' },
      prior: {
        type: 'string',
        value: 'FILE',
        says: 'what a house has learned, by prior export; taken for places of the same kind',
      },
      at: {
        type: 'string',
        multiple: true,
        value: '10m,15m,90s',
        says: 'give a forecast this long after a watch’s start',
      },
      json: { type: 'boolean', says: 'one JSON object a line (also without this option)' },
    },
    more: `The first column is "at" (RFC 3339 or epoch ms), then one column a probe in °C; an empty cell is no reading.
Instants in the output are epoch ms; sentences are English, °C, UTC.`,
  },
  {
    name: 'plan',
    summary:
      'before milking: how long this milk would take in each place of the house, and which would make it',
    options: {
      house,
      volume: { type: 'string', value: '0.95L', says: 'how much milk is in one vessel' },
      material: {
        type: 'string',
        value: 'glass',
        says: 'what the vessel is made of: glass, steel, plastic, copper or enamel',
      },
      from: { type: 'string', value: '36C', says: 'how warm the milk goes in (36 C unless given)' },
      data,
      json: { type: 'boolean', says: 'one JSON object' },
    },
    more: 'From the house’s own chills where there are two or more in a place, and it says so; else from what is usual.',
  },
  {
    name: 'prior export',
    summary: 'write what the house has learned of its places to a file, for replay --prior',
    options: { data, out: { type: 'string', value: 'FILE', says: 'a new file; the output unless given' } },
  },
  {
    name: 'prior forget',
    summary: 'let the running house forget what it has learned; the next chills go by what is usual',
    options: { data },
  },
  {
    name: 'prior',
    summary: 'show what the house has learned of its places, chill by chill, and what it did not learn from',
    options: { data, json: { type: 'boolean', says: 'as JSON' } },
  },
  {
    name: 'record verify',
    summary: 'check the whole record: numbering, hash chain, every event’s form',
    options: { data },
  },
  {
    name: 'history verify',
    summary:
      'check all readings: pages, log, sums of blocks, roll-ups against blocks; also while the house runs',
    options: { data, json: { type: 'boolean', says: 'as JSON' } },
    more: `Ends with 1 where something is damaged, and says which stretch it costs and what to do. Damage in one block costs
that block alone.`,
  },
  {
    name: 'history export',
    summary: 'write readings to a file, also while the house runs; memory does not grow with the span',
    options: {
      data,
      form: {
        type: 'string',
        value: 'FORM',
        says: 'csv (unless given), trace (a column a probe, for replay), jsonl, senml, lp (line protocol)',
      },
      probe: { type: 'string', multiple: true, value: 'ID', says: 'a probe; all of them unless given' },
      from: { type: 'string', value: 'WHEN', says: 'from this instant on, RFC 3339 or epoch ms' },
      to: { type: 'string', value: 'WHEN', says: 'up to but not at this instant' },
      out: { type: 'string', value: 'FILE', says: 'a new file; the output unless given' },
    },
    more: 'Readings are °C as read, in order of their instants. Instants are UTC.',
  },
  {
    name: 'history import',
    summary: 'look at a file of readings logged elsewhere and say what it holds; write it with --write',
    takes: 'FILE',
    options: {
      data,
      write: { type: 'boolean', says: 'write it, after the look; the house must be stopped' },
      'leave-out-faults': { type: 'boolean', says: 'go on without the rows that are at fault' },
      form: {
        type: 'string',
        value: 'FORM',
        says: 'csv, jsonl, senml or lp; by the file’s name unless given',
      },
      at: { type: 'string', value: 'COLUMN', says: 'the column of instants, by name or number (at)' },
      column: {
        type: 'string',
        multiple: true,
        value: "'jar=Temp 1'",
        says: 'a probe and its column, by name or number',
      },
      value: { type: 'string', value: 'COLUMN', says: 'the one column of temperatures' },
      probe: { type: 'string', value: 'ID', says: 'whose they all are' },
      'probe-column': { type: 'string', value: 'COLUMN', says: 'or the column that names the probe' },
      unit: { type: 'string', value: 'C|F|K', says: 'the unit of the temperatures (C)' },
      time: {
        type: 'string',
        value: 'FORM',
        says: "auto (RFC 3339 or epoch ms), epoch-s, epoch-ms, or a pattern: 'DD.MM.YYYY HH:mm:ss', 'M/D/YY h:mm A'",
      },
      zone: {
        type: 'string',
        value: 'ZONE',
        says: 'the time zone of instants that name none, such as America/Denver',
      },
      separator: { type: 'string', value: 'SIGN', says: ', (unless given), ; | or tab' },
      decimal: { type: 'string', value: 'SIGN', says: '. (unless given) or ,' },
      skip: { type: 'string', value: 'N', says: 'lines before the head line (0)' },
    },
    more: `Without a mapping, files of history export are known by their head line, and of others each column is the
probe of its name. A reading whose probe and instant the history has already is left out, so a second import
changes nothing. Imported readings are marked, and feed no watch.`,
  },
  {
    name: 'history backup',
    summary: 'copy the readings, also while the house runs, and read the copy back',
    takes: 'DIR',
    options: { data },
    more: 'The backup gets a folder of its own in DIR, named by the time. springhouse restore puts it back.',
  },
  {
    name: 'backup',
    summary: 'copy the record and the readings, also while the house runs, and read the copies back',
    takes: 'DIR',
    options: { data },
    more: `The backup gets a folder of its own in DIR, named by the time, open to its owner alone: what the house knows of
its people is in it. springhouse restore puts it back.`,
  },
  {
    name: 'restore',
    summary: 'put a backup back, checked first; what was there is kept aside',
    takes: 'DIR',
    options: {
      data,
      only: { type: 'string', value: 'house|history', says: 'the record or the readings alone' },
    },
    more: 'DIR is the folder of one backup. The house must be stopped. A backup of an earlier release is brought up at the next start.',
  },
  {
    name: 'mirrors',
    summary: 'show how far the copies elsewhere are behind, and what the files take on disk',
    options: {
      house,
      url: { type: 'string', value: 'URL', says: 'where the house’s page is served' },
      json: { type: 'boolean', says: 'as JSON' },
    },
  },
  {
    name: 'probes',
    summary: 'show what each probe of the running house last read, and what was refused of it',
    options: {
      house,
      url: { type: 'string', value: 'URL', says: 'where the house’s page is served' },
      json: { type: 'boolean', says: 'as JSON' },
    },
  },
];
