/** A daemon in a process of its own, for proofs that kill it. */
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

export type DaemonPlan = {
  /** The house file's text after version, house, http and clock. */
  wires: string;
  probes: readonly string[];
  /** True for the control that acknowledges before the commit. */
  acknowledgesEarly?: boolean;
  /** The program in place of the daemon's own: a control, or a daemon with an instrument. */
  main?: URL;
  /** Arguments of Node before the program. */
  nodeArgs?: readonly string[];
  /** Variables beside those of this process. */
  variables?: Readonly<Record<string, string>>;
  /** What the clock is trusted by, and the zone; `always` and UTC unless given. */
  trust?: 'always' | 'synchronised';
  zone?: string;
  /** True where the program talks with this process, by `send`. */
  talks?: boolean;
};

/** One house on disk, whose daemon can be started, killed and started again. */
export type DaemonHome = {
  dataDir: string;
  houseFile: string;
  /** Starts the daemon and resolves with the address of its page. */
  start(variables?: Readonly<Record<string, string>>): Promise<string>;
  /** Sends the program a message and resolves with its answer; only where it talks. */
  ask(message: object): Promise<unknown>;
  /** Ends it at once; resolves when the process is gone. */
  kill(): Promise<void>;
  /** Asks it to end and resolves with its exit code and how long that took, ms. */
  stop(): Promise<{ code: number | null; spanMs: number }>;
  /** The number of the process that runs now; null where none does. */
  pid(): number | null;
  /** Removes what is left. */
  remove(): Promise<void>;
};

const daemonMain = fileURLToPath(new URL('../../daemon/main.ts', import.meta.url));
const earlyMain = fileURLToPath(new URL('./early-daemon.ts', import.meta.url));

/** Hundreds of starts read the same modules: one that ended in order leaves them compiled for the next. */
const compiledFolder = fileURLToPath(new URL('../../node_modules/.cache/proofs', import.meta.url));

/** Makes the house; nothing runs yet. */
export async function makeDaemonHome(plan: DaemonPlan): Promise<DaemonHome> {
  const dir = await mkdtemp(join(tmpdir(), 'springhouse-proof-'));
  const dataDir = join(dir, 'data');
  const houseFile = join(dir, 'springhouse.yaml');
  const probes = plan.probes.map((id) => `  - { id: ${id} }`).join('\n');
  const head = `version: 1\nhouse: { name: Proof, height: 0 m, zone: ${plan.zone ?? 'UTC'}, units: C }\nhttp: { port: 0 }\nclock: { trust: ${plan.trust ?? 'always'} }`;
  await writeFile(houseFile, `${head}\nprobes:\n${probes}\n${plan.wires}\n`);
  const control = plan.acknowledgesEarly === true ? earlyMain : daemonMain;
  const script = plan.main === undefined ? control : fileURLToPath(plan.main);
  let child: ChildProcess | null = null;

  return {
    dataDir,
    houseFile,
    pid: () => child?.pid ?? null,
    ask: (message) =>
      new Promise((resolve, reject) => {
        if (child === null) return reject(new Error('no daemon runs that could be asked'));
        child.once('message', resolve);
        child.send(message, (error) => {
          if (error !== null) reject(error);
        });
      }),
    start: (variables) => {
      const args = [...(plan.nodeArgs ?? []), script, 'run', '--house', houseFile, '--data', dataDir];
      const started = spawn(process.execPath, args, {
        stdio: ['ignore', 'pipe', 'pipe', ...(plan.talks === true ? (['ipc'] as const) : [])],
        env: { ...process.env, NODE_COMPILE_CACHE: compiledFolder, ...plan.variables, ...variables },
      });
      child = started;
      return addressOf(started);
    },
    kill: async () => {
      const gone = child;
      child = null;
      if (gone !== null) await ended(gone, 'SIGKILL');
    },
    stop: async () => {
      const gone = child;
      child = null;
      const fromMs = performance.now();
      const code = gone === null ? null : await ended(gone, 'SIGTERM');
      return { code, spanMs: performance.now() - fromMs };
    },
    remove: async () => {
      if (child !== null) await ended(child, 'SIGKILL');
      await rm(dir, { recursive: true, force: true });
    },
  };
}

function addressOf(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let out = '';
    let complaints = '';
    child.stdout?.on('data', (chunk) => {
      out += chunk;
      const address = /http:\/\/[^/\s]+/.exec(out)?.[0];
      if (address !== undefined) resolve(address);
    });
    child.stderr?.on('data', (chunk) => {
      complaints += chunk;
    });
    child.once('exit', (code) => reject(new Error(`the daemon ended with ${code}: ${complaints}`)));
  });
}

function ended(child: ChildProcess, signal: NodeJS.Signals): Promise<number | null> {
  if (child.exitCode !== null || child.signalCode !== null) return Promise.resolve(child.exitCode);
  return new Promise((resolve) => {
    child.once('exit', (code) => resolve(code));
    child.kill(signal);
  });
}
