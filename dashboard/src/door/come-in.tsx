import { useEffect, useId, useState } from 'preact/hooks';
import type { DoorView } from '../../../shared/contract/door.ts';
import { passwordChars } from '../../../shared/contract/password-chars.ts';
import { pair, signIn } from './ask-door.ts';

/** The code that a scanned link brings; null where the address has none. */
export function codeInAddress(hash: string): string | null {
  return /^#pair=([\w-]{8,20})$/.exec(hash)?.[1] ?? null;
}

/** Sign-in and pairing: the one page that a stranger sees. It tells nothing of the house. */
export function ComeIn({ onCame, secure }: { onCame: (door: DoorView) => void; secure: boolean }) {
  const [code, setCode] = useState(codeInAddress(location.hash) ?? '');
  const [isNew, setNew] = useState(code !== '');
  const [name, setName] = useState('');
  const [password, setPassword] = useState('');
  const [state, setState] = useState<{ asking: boolean; why: string }>({ asking: false, why: '' });
  useEffect(() => {
    document.title = 'Springhouse';
  }, []);
  async function come(event: Event) {
    event.preventDefault();
    setState({ asking: true, why: '' });
    const came = isNew ? await pair({ code, name, password }) : await signIn({ name, password });
    if (!came.ok) return setState({ asking: false, why: came.why });
    // A code is good once: it shall not stand in the address, nor in what the browser remembers.
    history.replaceState(null, '', location.pathname + location.search);
    onCame(came.answer);
  }
  return (
    <main class="door">
      <form onSubmit={(event) => void come(event)}>
        <h1>{isNew ? 'Come in with a pairing code' : 'Sign in'}</h1>
        {isNew && <Field label="Pairing code" value={code} onValue={setCode} autoComplete="one-time-code" />}
        <Field label="Your name" value={name} onValue={setName} autoComplete="username" />
        <Field
          label={isNew ? `A password, ${passwordChars.min} characters or more` : 'Password'}
          value={password}
          onValue={setPassword}
          autoComplete={isNew ? 'new-password' : 'current-password'}
          isSecret
        />
        <p class="why" role="alert">
          {state.why}
        </p>
        <div class="acts">
          <button type="submit" class="first" disabled={state.asking}>
            {isNew ? 'Come in' : 'Sign in'}
          </button>
          <button type="button" class="plain" onClick={() => setNew(!isNew)}>
            {isNew ? 'I have a password' : 'I have a pairing code'}
          </button>
        </div>
        <p class="note">
          {isNew
            ? 'Three unlike words make a good password. Use one that you use nowhere else.'
            : 'No password yet, or forgotten? Ask somebody who is inside for a pairing code.'}
        </p>
        {!secure && location.hostname !== '127.0.0.1' && location.hostname !== 'localhost' && (
          <p class="note">
            This house has no certificate: whoever can listen in this network can read what you type.
          </p>
        )}
      </form>
    </main>
  );
}

function Field({
  autoComplete,
  isSecret = false,
  label,
  onValue,
  value,
}: {
  autoComplete: string;
  isSecret?: boolean;
  label: string;
  onValue: (value: string) => void;
  value: string;
}) {
  const id = useId();
  const shared = {
    id,
    value,
    required: true,
    autocomplete: autoComplete,
    autocapitalize: autoComplete === 'username' ? 'words' : 'off',
    spellcheck: false,
    onInput: (event: { currentTarget: HTMLInputElement }) => onValue(event.currentTarget.value),
  } as const;
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {isSecret ? <input type="password" {...shared} /> : <input type="text" {...shared} />}
    </div>
  );
}
