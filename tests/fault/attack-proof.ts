/** The attack proof: a stranger in the network finds nothing in an opened house, and every hole that is planted. */
import { type OpenedView, shutDoor } from '../../shared/contract/door.ts';
import { doorAttacks } from './attack/door-attacks.ts';
import { holesOf } from './attack/holes.ts';
import { httpAttacks } from './attack/http-attacks.ts';
import { type Attack, asOwner, type Target } from './attack/target.ts';
import { makeDaemonHome } from './daemon-process.ts';

export type AttackReport = {
  proof: 'attack';
  attacks: number;
  /** What was found in the house. */
  found: string[];
  holes: number;
  /** Planted holes that no attack of their family found. */
  missed: string[];
  spanMs: number;
};

const attacks: readonly Attack[] = [...httpAttacks, ...doorAttacks];

/** Opens a house in a process of its own and attacks it, then once for each hole. */
export async function proveAttack(families: readonly string[] = []): Promise<AttackReport> {
  const fromMs = performance.now();
  const home = await makeDaemonHome({ wires: 'broker: { port: 0 }', probes: ['jar', 'pot'] });
  try {
    await home.start();
    const opened = await asOwner<OpenedView>(home, '/owner/open', {
      ...shutDoor,
      open: true,
      addresses: ['127.0.0.2'],
    });
    const target: Target = {
      page: opened.pages[0] ?? '',
      broker: opened.brokers[0] ?? '',
      house: opened.house,
      dataDir: home.dataDir,
      jarKey: opened.keys.find(({ probe }) => probe === 'jar')?.password ?? '',
    };
    const isAsked = ({ family }: { family: string }) => families.length === 0 || families.includes(family);
    const found = await findings(attacks.filter(isAsked), target);
    const holes = holesOf(target).filter(isAsked);
    const missed: string[] = [];
    for (const hole of holes) {
      const planted = await hole.open(target);
      const seen = await findings(
        attacks.filter(({ family }) => family === hole.family),
        planted.target,
      );
      await planted.close();
      if (seen.length === 0) missed.push(hole.family);
    }
    const spanMs = Math.round(performance.now() - fromMs);
    return {
      proof: 'attack',
      attacks: attacks.filter(isAsked).length,
      found,
      holes: holes.length,
      missed,
      spanMs,
    };
  } finally {
    await home.remove();
  }
}

async function findings(each: readonly Attack[], target: Target): Promise<string[]> {
  const found: string[] = [];
  for (const { family, name, run } of each) {
    const got = await run(target);
    if (got !== null) found.push(`${family}: ${name}: ${got}`);
  }
  return found;
}
