import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { DoorView } from '../../../shared/contract/door.ts';
import { askDoor } from './ask-door.ts';
import { ComeIn } from './come-in.tsx';

/** How often the page asks whether it is still let in: a session may be ended from elsewhere. */
const askAgainMs = 10_000;

/** Lets the page through where nobody needs to sign in or somebody has; else asks who is there. */
export function Doorway({ children }: { children: ComponentChildren }) {
  // A house that does not answer is shown by the page itself, which keeps asking.
  const [door, setDoor] = useState<DoorView | null | 'asking'>('asking');
  useEffect(() => {
    const ask = async () => {
      const answer = await askDoor();
      setDoor((before) => answer ?? (before === 'asking' ? null : before));
    };
    void ask();
    const timer = setInterval(() => void ask(), askAgainMs);
    return () => clearInterval(timer);
  }, []);
  if (door === 'asking') return null;
  if (door === null || !door.signIn || door.person !== null) return <>{children}</>;
  return <ComeIn onCame={setDoor} secure={door.secure} />;
}
