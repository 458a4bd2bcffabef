import type { HostConnection } from '../host/host-client.ts';

/**
 * Returns a host to which whatever changes the library is told under the name of the present reader, for the trail of reviews.
 * Missing  `readerNow` null: nobody has said a name; the host names this computer.
 */
export function underName(host: HostConnection, readerNow: () => string | null): HostConnection {
  const done = (): { readonly by?: string } => {
    const by = readerNow();
    return by === null ? {} : { by };
  };
  return {
    ...host,
    decideChanges: (args) => host.decideChanges({ ...done(), ...args }),
    setClockOffset: (args) => host.setClockOffset({ ...done(), ...args }),
    removeCase: (args) => host.removeCase({ ...done(), ...args }),
    addAction: (args) => host.addAction({ ...done(), ...args }),
    editAction: (args) => host.editAction({ ...done(), ...args }),
    measureAgain: (args) => host.measureAgain({ ...done(), ...args }),
    writeReport: (args) => host.writeReport({ ...done(), ...args }),
    writeSheets: (args) => host.writeSheets({ ...done(), ...args }),
    writeDeck: (args) => host.writeDeck({ ...done(), ...args }),
    writeBundle: (args) => host.writeBundle({ ...done(), ...args }),
    saveParameters: (args) => host.saveParameters({ ...done(), ...args }),
  };
}
