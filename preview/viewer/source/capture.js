// Pictures and clips of what the frame shows, made in the browser and kept nowhere else.
const CLIP_TYPES = ["video/mp4;codecs=avc1", "video/webm;codecs=vp9", "video/webm;codecs=vp8", "video/webm"];
const FRAMES_PER_SECOND = 30;
// How often what was encoded is handed over, and how long the first of it is waited for. Of a film
// as MP4 nothing is before a hundred pictures are (Chromium), so pictures that come are waited for.
const SLICE_MS = 200;
const PATIENCE_MS = 20_000;

/** Hand a file to the reader. */
function keep(blob, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/** A canvas that holds a part of another: left, top, width, height in its pixels. */
function cropped(part) {
  const canvas = document.createElement("canvas");
  // Video encoders want even sizes.
  canvas.width = 2 * Math.floor(part.width / 2);
  canvas.height = 2 * Math.floor(part.height / 2);
  return canvas;
}

function copy(source, part, canvas) {
  canvas
    .getContext("2d")
    .drawImage(source, part.left, part.top, canvas.width, canvas.height, 0, 0, canvas.width, canvas.height);
}

/** Save the drawn picture; call it in the same task as the drawing. */
export async function savePicture(source, part, name) {
  const canvas = cropped(part);
  copy(source, part, canvas);
  const blob = await new Promise((done) => canvas.toBlob(done, "image/png"));
  keep(blob, `${name}.png`);
  return blob;
}

/** Resolves when a picture has come out of a stream and another has had time to follow it. */
async function comes(stream) {
  const video = document.createElement("video");
  video.muted = true;
  video.srcObject = stream;
  video.play().catch(() => {}); // a browser that saves power; then what is encoded is waited for
  await new Promise((done) => video.requestVideoFrameCallback?.(done));
  await new Promise((done) => setTimeout(done, SLICE_MS));
  video.srcObject = null;
}

/** Records what is drawn until it is stopped. */
export class Clip {
  static get possible() {
    return typeof MediaRecorder !== "undefined" && "captureStream" in HTMLCanvasElement.prototype;
  }

  constructor(source, part, name) {
    this.source = source;
    this.part = part;
    this.name = name;
    this.canvas = cropped(part);
    this.chunks = [];
    this.copy();
    const mimeType = CLIP_TYPES.find((type) => MediaRecorder.isTypeSupported(type));
    this.stream = this.canvas.captureStream(FRAMES_PER_SECOND);
    this.recorder = new MediaRecorder(this.stream, { mimeType, videoBitsPerSecond: 16_000_000 });
    const encoded = new Promise((done) => {
      this.recorder.addEventListener("dataavailable", ({ data }) => {
        this.chunks.push(data);
        if (data.size) done();
      });
    });
    this.begun = Promise.race([encoded, comes(this.stream)]);
    this.finished = new Promise((done) => {
      this.recorder.addEventListener("stop", () => done(this.save()));
    });
    this.recorder.start(SLICE_MS);
  }

  /** Take the picture that has just been drawn. */
  copy() {
    copy(this.source, this.part, this.canvas);
  }

  /** End, but not before anything has been encoded: a slow computer would keep an empty file. */
  async stop() {
    const again = setInterval(() => this.copy(), SLICE_MS);
    await Promise.race([this.begun, new Promise((done) => setTimeout(done, PATIENCE_MS))]);
    clearInterval(again);
    this.recorder.stop();
    const blob = await this.finished;
    for (const track of this.stream.getTracks()) track.stop();
    return blob;
  }

  save() {
    const type = this.recorder.mimeType;
    const blob = new Blob(this.chunks, { type });
    keep(blob, `${this.name}.${type.includes("mp4") ? "mp4" : "webm"}`);
    return blob;
  }
}
