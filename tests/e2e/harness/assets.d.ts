/** Style sheets are imported for their effect alone; the build collects them. */
declare module '*.css';
