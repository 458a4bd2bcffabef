import type { Session } from 'electron';

/** What our page does get: a presentation fills the screen, and Esc ends that whatever the page does. */
export const GRANTED_PERMISSION = 'fullscreen';

/**
 * Every other permission a page can ask for, with the reason why this one does not get it. All are denied:
 * choosing and dropping files needs none, and nothing else leaves or enters the window.
 * A permission that is not in the list (a newer Electron) is denied as well.
 */
export const DENIED_PERMISSIONS: Readonly<Record<string, string>> = {
  'background-sync': 'nothing is fetched in the background',
  'clipboard-read': 'nothing is pasted by the program itself',
  'clipboard-sanitized-write': 'copying is done by the user’s own key, which needs no permission',
  'deprecated-sync-clipboard-read': 'nothing is pasted by the program itself',
  'display-capture': 'the screen is nobody’s business',
  'fileSystem': 'files are chosen or dropped; the page keeps no hold on the disk',
  'geolocation': 'the place is not part of a record',
  'hid': 'no device is spoken to',
  'idle-detection': 'the user is not watched',
  'keyboardLock': 'the user’s keys stay the user’s',
  'media': 'no camera and no microphone',
  'mediaKeySystem': 'no protected media',
  'midi': 'no device is spoken to',
  'midiSysex': 'no device is spoken to',
  'notifications': 'the program looks back; it calls nobody',
  'openExternal': 'no other program is started from the page',
  'pointerLock': 'the pointer stays the user’s',
  'serial': 'no device is spoken to',
  'speaker-selection': 'nothing is played',
  'storage-access': 'there is no third party whose storage could be asked for',
  'top-level-storage-access': 'there is no third party whose storage could be asked for',
  'unknown': 'what cannot be named cannot be granted',
  'usb': 'no device is spoken to',
  'window-management': 'the window stays on its screen',
};

/** Denies every permission in `session` but the one that is granted, whoever asks and whenever: nothing but our page is ever in it. */
export function denyPermissions(session: Session): void {
  session.setPermissionRequestHandler((_contents, permission, answer) => answer(permission === GRANTED_PERMISSION));
  session.setPermissionCheckHandler((_contents, permission) => permission === GRANTED_PERMISSION);
  session.setDevicePermissionHandler(() => false);
  session.setDisplayMediaRequestHandler((_request, answer) => answer({}));
}
