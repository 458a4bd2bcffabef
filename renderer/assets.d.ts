/** Style sheets are imported for their effect alone; the build collects them. */
declare module '*.css';

/** Pages of the documentation as a tree, made by the page's build. */
declare module 'virtual:help-pages' {
  const pages: unknown;
  export default pages;
}
