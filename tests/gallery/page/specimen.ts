/**
 * Returns a digest of letters and strokes as this browser paints them: where it is the same, two machines paint the same picture of the
 * same drawing, and only there can pixels be compared.
 */
export async function specimenDigest(): Promise<string> {
  const canvas = document.createElement('canvas');
  canvas.width = 640;
  canvas.height = 160;
  const ctx = canvas.getContext('2d');
  if (ctx === null) throw new Error('no canvas to draw on');
  ctx.fillStyle = '#fff';
  ctx.fillRect(0, 0, canvas.width, canvas.height);
  ctx.fillStyle = '#123';
  [12, 12.5, 14, 18].forEach((px, i) => {
    ctx.font = `${i % 2 === 0 ? '' : 'bold '}${px}px Gallery`;
    ctx.fillText('SpO2 finger 98 %, 08:12:45 ‹ › ±15 min – “lost” ×, ear lobe 0.62', 4.3, 24 + i * 30);
  });
  ctx.strokeStyle = '#a30';
  ctx.lineWidth = 1.4;
  ctx.beginPath();
  ctx.moveTo(3, 150);
  ctx.lineTo(630, 121.5);
  ctx.arc(600, 60, 22, 0, 5);
  ctx.stroke();
  const { data } = ctx.getImageData(0, 0, canvas.width, canvas.height);
  const digest = await crypto.subtle.digest('SHA-256', data);
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}
