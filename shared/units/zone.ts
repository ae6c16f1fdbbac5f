/** Whether a text names a time zone that this machine knows, by name or as an offset like `+01:00`. */
export function isZone(text: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: text });
    return true;
  } catch {
    return false;
  }
}

/** The same by name alone (`America/Denver`): an offset knows nothing of summer time. */
export function isNamedZone(text: string): boolean {
  return /^[A-Za-z]/.test(text) && isZone(text);
}
