/**
 * What the daemon tells systemd (sd_notify(3)): that it is ready, that it is still well, that it ends. Node
 * has no datagram sockets of the unix kind, so systemd's own small program carries the message.
 */
import { spawn } from 'node:child_process';

/** How systemd wants to be told; null variables mean that nobody asked. */
export type SupervisorOptions = {
  /** NOTIFY_SOCKET; null where the daemon does not run under systemd. */
  socket: string | null;
  /** WATCHDOG_USEC in ms; null where no watchdog is set. */
  watchdogMs: number | null;
  /**
   * Resolves where the house does its work. While it does not, nothing is said, and systemd ends the daemon
   * and starts it anew: every watch goes on where it was.
   */
  pulse: () => Promise<void>;
  /** Hears that systemd cannot be told. */
  onTrouble: (error: Error) => void;
  /** For tests: the program that carries messages, and what it is told before each. */
  program?: string;
  carrierOptions?: readonly string[];
};

export type Supervisor = {
  /** Says that the house is ready and begins to say that it is well. */
  ready(): Promise<void>;
  /** Says that the house ends, and nothing more. */
  stopping(): Promise<void>;
};

/** How long the carrier may take; on a machine so busy the next message comes soon. */
const carryMsMax = 5_000;

/** Opens the line to systemd; where there is none every call does nothing. */
export function openSupervisor(options: SupervisorOptions): Supervisor {
  const { socket, watchdogMs, pulse, onTrouble } = options;
  let timer: NodeJS.Timeout | null = null;
  let isAsking = false;
  const say = (message: string) => (socket === null ? Promise.resolve() : carry(message, socket, options));

  async function beat(): Promise<void> {
    // A pulse that does not come back leaves this waiting, and so keeps silent.
    if (isAsking) return;
    isAsking = true;
    try {
      await pulse();
      await say('WATCHDOG=1');
    } catch (error) {
      onTrouble(error as Error);
    } finally {
      isAsking = false;
    }
  }
  return {
    ready: async () => {
      await say('READY=1').catch(onTrouble);
      if (socket === null || watchdogMs === null) return;
      // Three times within the span, so that one late beat is no death.
      timer = setInterval(() => void beat(), watchdogMs / 3);
      timer.unref();
      await beat();
    },
    stopping: async () => {
      if (timer !== null) clearInterval(timer);
      await say('STOPPING=1').catch(onTrouble);
    },
  };
}

function carry(
  message: string,
  socket: string,
  { program = 'systemd-notify', carrierOptions = [] }: SupervisorOptions,
): Promise<void> {
  return new Promise((resolve, reject) => {
    const child = spawn(program, [...carrierOptions, message], {
      env: { PATH: '/usr/bin:/bin', NOTIFY_SOCKET: socket },
      stdio: 'ignore',
      timeout: carryMsMax,
    });
    child.once('error', reject);
    child.once('exit', (code, signal) => {
      if (code === 0) resolve();
      else reject(new Error(`${program} ${message} ended with ${code ?? signal}`));
    });
  });
}
