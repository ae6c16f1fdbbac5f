/** What an inspection looks at on the machine itself: serial lines, sensors, folders, brokers elsewhere. */
import { constants } from 'node:fs';
import { access, readdir, stat, statfs } from 'node:fs/promises';
import { connect } from 'node:net';
import { type Finding, look, well, wrong } from './finding.ts';

/** Under this the disk fills within weeks on a small board. */
const freeBytesLeast = 500_000_000;

/** How long a broker elsewhere may take to take a connection. */
const connectMsMax = 3_000;

/** Looks whether this user may read and write a serial line. */
export async function inspectSerial(id: string, path: string): Promise<Finding> {
  const thing = `serial line ${id}`;
  try {
    await access(path, constants.R_OK | constants.W_OK);
    return well(thing, `${path} can be read and written`);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') {
      return wrong(
        thing,
        `there is no ${path}`,
        'Plug the device in; ls /dev/serial/by-id shows those there are.',
      );
    }
    return wrong(
      thing,
      `this user may not read and write ${path}`,
      'Add the user to the group that ls -l shows of it: usermod -aG dialout USER, then log in anew. The unit of deploy/systemd has it already.',
    );
  }
}

/** Looks whether the kernel shows the one-wire sensors that are named. */
export async function inspectOnewire(
  id: string,
  folder: string,
  sensors: readonly string[],
): Promise<Finding> {
  const thing = `one-wire ${id}`;
  const there = await readdir(folder).catch(() => null);
  if (there === null) {
    return wrong(
      thing,
      `there is no ${folder}`,
      'Switch the bus on (dtoverlay=w1-gpio on a small board) and start the machine anew.',
    );
  }
  const missing = sensors.filter((sensor) => !there.includes(sensor));
  if (missing.length === 0) return well(thing, `${sensors.length} sensors are there`);
  return wrong(
    thing,
    `not there: ${missing.join(', ')}`,
    'Look at cable, supply and the pull-up resistor of 4.7 kΩ.',
  );
}

/** Looks whether the data folder can be written and has room. */
export async function inspectDisk(dataDir: string): Promise<Finding> {
  try {
    if (!(await stat(dataDir)).isDirectory()) throw new Error('it is no folder');
    await access(dataDir, constants.R_OK | constants.W_OK);
    const { bavail, bsize } = await statfs(dataDir);
    const free = bavail * bsize;
    const says = `${dataDir}, ${Math.floor(free / 1e6)} MB free`;
    return free < freeBytesLeast
      ? look('disk', says, 'Free some space, or move the data to a larger disk.')
      : well('disk', says);
  } catch (error) {
    return wrong(
      'disk',
      `${dataDir}: ${(error as Error).message}`,
      'Give the folder to the user who runs the house, or name another with --data.',
    );
  }
}

/** Looks whether the system says that its clock is set by a time server. */
export function inspectClock(isSynchronised: boolean, trust: 'synchronised' | 'always'): Finding {
  if (isSynchronised) return well('clock', 'set by a time server');
  if (trust === 'always')
    return look(
      'clock',
      'not set by a time server, and trusted all the same',
      'Leave it so only on a machine with a good clock of its own.',
    );
  return look(
    'clock',
    'not set by a time server',
    'See timedatectl; until it is set, receipt times count from the start of the house.',
  );
}

/** Looks whether a broker elsewhere takes connections. */
export function inspectBroker(id: string, url: string): Promise<Finding> {
  const thing = `broker ${id}`;
  const { hostname, port, protocol } = new URL(url);
  const portOf = Number(port === '' ? (protocol === 'mqtts:' ? 8883 : 1883) : port);
  return new Promise((resolve) => {
    const socket = connect({ host: hostname, port: portOf, timeout: connectMsMax });
    const end = (why: string | null) => {
      socket.destroy();
      const doThis = 'See that it runs and that its address in the house file is right.';
      resolve(
        why === null ? well(thing, `${url} takes connections`) : wrong(thing, `${url}: ${why}`, doThis),
      );
    };
    socket.once('connect', () => end(null));
    socket.once('timeout', () => end('no answer'));
    socket.once('error', (error) => end(error.message));
  });
}
