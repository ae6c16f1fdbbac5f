/** The release of this daemon, as it stands in package.json (a test holds them equal). */
export const release = '0.1.0';
