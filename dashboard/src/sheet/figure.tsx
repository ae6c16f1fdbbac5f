import { Lettered } from '../words/phrases.tsx';

/** A large temperature; its digits are hollow where it was not heard just now. */
export function Figure({
  degrees,
  heard,
  size,
  units,
}: {
  degrees: string;
  heard: boolean;
  size: 'hero' | 'row';
  units: 'F' | 'C';
}) {
  // Three figures before the point need a smaller size on a phone.
  const wide = degrees.replace(/[.,].*$/, '').length > 2;
  return (
    <div class={`number ${size}${heard ? '' : ' hollow'}${wide ? ' wide' : ''}`}>
      <span class="digits">{degrees}</span>
      <sup>
        <Lettered text={`°${units}`} />
      </sup>
    </div>
  );
}
