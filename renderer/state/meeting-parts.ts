/** The parts of the place Meeting, in the order of its tabs; what each shows stands in `renderer/panels/meeting/meeting-place.tsx`. */
export const MEETING_PARTS = ['stories', 'actions', 'reports'] as const;
export type MeetingPart = (typeof MEETING_PARTS)[number];
