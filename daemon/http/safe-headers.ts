/** What a browser may do with an answer: run and load only what we serve, and frame us nowhere. */
const contentPolicy = [
  "default-src 'self'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self'",
  "connect-src 'self'",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

/** Headers of every answer. There is no CORS header among them: no other origin may read the house. */
export const safeHeaders: Readonly<Record<string, string>> = {
  'content-security-policy': contentPolicy,
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'permissions-policy': 'camera=(), microphone=(), geolocation=()',
  // A page's files say otherwise; whatever else the house says is true only now.
  'cache-control': 'no-store',
};
