// A photograph made small enough to keep: drawn anew on this device, which leaves out place and camera as well.

/** Pixels of the longer side, and the quality of the JPEG from 0 to 1. */
const LONGEST = 1600;
const QUALITY = 0.8;

/** {blob, about: {width, height}} of the picture in `file`, in pixels; null when the browser cannot read it. */
export async function take(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return null;
  }
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  const context = canvas.getContext("2d");
  context.imageSmoothingQuality = "high";
  // What is transparent becomes white: a JPEG would have it black.
  context.fillStyle = "#fff";
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", QUALITY); });
  return blob && { blob, about: { width: canvas.width, height: canvas.height } };
}
