/** Hands a file to the person as the browser's own download. `name` must hold nothing of a patient. */
export function saveFile(name: string, content: Blob): void {
  const address = URL.createObjectURL(content);
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  link.click();
  // The browser has taken the address by the time it comes back to this page.
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
