/** The longest body that is read; a word is far shorter, and a longer body is refused with `HTTP_LONG`. */
export const bodyBytesMax = 4_096;

/** The largest head of a request; a larger one is refused with `HTTP_MALFORMED`. */
export const headBytesMax = 8_192;

/** Connections at once; one more is closed as it comes. */
export const connectionsMax = 256;

/** Clients that may read the live feed at once; one more is refused with `LIVE_FULL` and may come again. */
export const liveClientsMax = 64;

/** Exports under way at once, each of which keeps the reader of the disk busy; one more is refused with `EXPORT_FULL`. */
export const exportsMax = 2;

/** How many days a session's cookie is kept by a browser; the house itself ends sessions earlier. */
export const ageDaysMax = 180;

/** How long a request may take to arrive; then its connection is closed. */
export const requestMsMax = 10_000;

/** How long a connection may move no byte, also that of a client that stopped reading its feed; then it is closed. */
export const stillMsMax = 120_000;

/** How long requests under way may take to end when the server closes; then their connections are cut. */
export const closeMsMax = 300;
