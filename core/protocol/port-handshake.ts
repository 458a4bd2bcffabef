/** What the page says to its preload script to be given the port, and what the answer says. */
export const PORT_REQUEST = 'lacuna:port?';
export const PORT_ANSWER = 'lacuna:port';

/** The one channel between preload script and host: it carries the other end of the port and nothing else. */
export const CONNECT_CHANNEL = 'lacuna:connect';
