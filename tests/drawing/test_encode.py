"""Films as files: times, loops, quality, and pixels that stay as they are."""

import numpy as np
import pytest
from PIL import Image, ImageSequence

from preview.drawing.render import renderer
from preview.errors import UseError
from preview.films import encode
from preview.films.animation import changed
from preview.films.frames import StoredFrames
from preview.films.palette import GRAIN, REACH, Mixer, mixed, packed, shared, unpacked

FPS = 20


def movie(count=8, size=(64, 48)):
    """A disc that crosses a shaded ground; the last frame is held for three."""
    x, y = np.meshgrid(np.arange(size[0]), np.arange(size[1]))
    ground = np.stack([200 - x / 2, 180 - y / 2, 150 + x / 4], axis=-1)
    frames = []
    for k in range(count):
        disc = (x - 8 - 6 * k) ** 2 + (y - 24) ** 2 < 60
        frame = np.where(disc[..., None], [200.0, 60, 40], ground)
        frames.append(np.rint(frame).astype(np.uint8))
    return [*frames, frames[-1], frames[-1]]


def read(path):
    """Frames and their durations in ms."""
    frames, times = [], []
    with Image.open(path) as image:
        loop = image.info.get("loop")
        for frame in ImageSequence.Iterator(image):
            frames.append(np.asarray(frame.convert("RGB")))
            times.append(frame.info["duration"])
    return frames, times, loop


def psnr(a, b):
    return 10 * np.log10(255**2 / max(np.mean((a.astype(float) - b) ** 2), 1e-9))


@pytest.mark.parametrize("kind", ["gif", "webp", "apng"])
def test_delays_and_loop_are_read_back_as_asked_for(kind, tmp_path):
    path = tmp_path / f"film.{kind}"
    encode.write(path, movie(), FPS)
    frames, times, loop = read(path)
    assert times == [50] * 7 + [150]
    assert len(frames) == 8
    assert loop == 0


def test_a_rate_that_does_not_fit_centiseconds_keeps_its_whole_length(tmp_path):
    path = tmp_path / "film.gif"
    encode.write(path, movie(30, (240, 48))[:30], 30)
    _, times, _ = read(path)
    assert sum(times) == 1000
    assert set(times) <= {30, 40}


@pytest.mark.parametrize(("kind", "least"), [("gif", 43), ("webp", 34), ("apng", 90)])
def test_frames_come_back_as_they_were(kind, least, tmp_path):
    path = tmp_path / f"film.{kind}"
    source = movie()
    encode.write(path, source, FPS)
    frames, _, _ = read(path)
    assert min(psnr(a, b) for a, b in zip(frames, source[:8], strict=True)) >= least


def test_pixels_that_do_not_change_do_not_change_in_the_gif(tmp_path):
    path = tmp_path / "film.gif"
    source = movie()
    encode.write(path, source, FPS)
    frames, _, _ = read(path)
    for k in range(7):
        still = (source[k] == source[k + 1]).all(axis=2)
        assert np.array_equal(frames[k][still], frames[k + 1][still])


@pytest.mark.night
def test_films_of_a_colourful_shipped_design_keep_every_frame(tmp_path):
    """At least 43 dB as GIF and 39 dB as MP4, the bounds that the films are held to.

    MP4 stores colour at half rate; it is read as players show it, blended between its samples.
    """
    import imageio.v3 as iio

    from meshes import designs, spread
    from preview.films import film

    made = spread.read(designs.path("toadstool-glade"))
    motion = made.solve(np.radians([60.0, 120.0, 180.0]))
    shot = film.shot_of(made, motion, (480, 480))
    engine = renderer("auto")
    source = [shot.draw(pose, engine) for pose in range(3)]
    encode.write(tmp_path / "film.gif", source, FPS)
    encode.write(tmp_path / "film.mp4", source, FPS)
    frames, _, _ = read(tmp_path / "film.gif")
    assert min(psnr(a, b) for a, b in zip(frames, source, strict=True)) >= 43
    blended = ["-sws_flags", "bilinear+accurate_rnd+full_chroma_int"]
    film_file = tmp_path / "film.mp4"
    frames = list(iio.imiter(film_file, plugin="FFMPEG", output_params=blended))
    assert min(psnr(a, b) for a, b in zip(frames, source, strict=True)) >= 39


def test_an_mp4_keeps_frames_time_and_colours(tmp_path):
    import imageio_ffmpeg

    path = tmp_path / "film.mp4"
    source = movie()
    encode.write(path, source, FPS)
    reader = imageio_ffmpeg.read_frames(str(path))
    about = next(reader)
    frames = [np.frombuffer(data, np.uint8).reshape(48, 64, 3) for data in reader]
    assert about["fps"] == FPS
    assert about["codec"] == "h264"
    assert "yuv420p" in about["pix_fmt"]
    assert "bt709" in about["pix_fmt"]
    assert len(frames) == len(source)


@pytest.mark.parametrize("colour", [(200, 40, 40), (30, 120, 60), (40, 60, 180), (240, 230, 210)])
def test_an_mp4_keeps_hues(colour, tmp_path):
    """The wrong matrix (BT.601 for BT.709) would shift these by 8 to 20 levels."""
    import imageio_ffmpeg

    path = tmp_path / "film.mp4"
    encode.write(path, [np.full((48, 64, 3), colour, np.uint8)] * 3, FPS)
    reader = imageio_ffmpeg.read_frames(str(path))
    next(reader)
    shown = np.frombuffer(next(reader), np.uint8).reshape(48, 64, 3)
    assert np.abs(shown.astype(int) - colour).max() <= 3


def test_an_mp4_of_odd_size_is_made_even_without_scaling(tmp_path):
    import imageio_ffmpeg

    path = tmp_path / "film.mp4"
    encode.write(path, movie(4, (63, 47)), FPS)
    assert next(imageio_ffmpeg.read_frames(str(path)))["size"] == (64, 48)


@pytest.mark.parametrize("kind", encode.FILMS)
def test_frames_from_a_generator_give_the_same_file(kind, tmp_path):
    listed, streamed = tmp_path / f"a.{kind}", tmp_path / f"b.{kind}"
    encode.write(listed, movie(), FPS)
    encode.write(streamed, (frame for frame in movie()), FPS)
    assert listed.read_bytes() == streamed.read_bytes()


@pytest.mark.parametrize("kind", encode.FILMS)
def test_a_film_that_fails_leaves_what_was_there(kind, tmp_path):
    path = tmp_path / f"film.{kind}"
    path.write_bytes(b"old")

    def broken():
        yield movie()[0]
        raise RuntimeError("drawing failed")

    with pytest.raises(RuntimeError, match="drawing failed"):
        encode.write(path, broken(), FPS)
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("kind", encode.FILMS)
def test_a_film_without_frames_is_refused(kind, tmp_path):
    with pytest.raises(UseError, match="at least one frame"):
        encode.write(tmp_path / f"film.{kind}", iter(()), FPS)


@pytest.mark.parametrize("name", ["film.avi", "film", "film.gif.txt"])
def test_endings_that_cannot_be_written_are_named(name, tmp_path):
    with pytest.raises(UseError, match=r"\.gif, \.mp4"):
        encode.check_ending(tmp_path / name)


def test_a_gif_too_fast_for_viewers_is_refused(tmp_path):
    with pytest.raises(UseError, match="50 frames"):
        encode.write(tmp_path / "film.gif", movie(), 60)


def test_the_palette_finds_the_nearest_colour_exactly():
    rng = np.random.default_rng(2)
    frame = rng.integers(0, 256, (20, 30, 3)).astype(np.uint8)
    palette = rng.integers(0, 256, (255, 3)).astype(np.uint8)
    found, _, _ = mixed(frame.reshape(-1, 3).astype(int), palette)
    gaps = np.linalg.norm(frame.reshape(-1, 1, 3).astype(float) - palette, axis=-1)
    assert gaps[np.arange(len(found)), found] == pytest.approx(gaps.min(axis=1))


@pytest.mark.parametrize("spread", [6, 40, 255])
def test_no_other_mixture_comes_nearer(spread):
    """By what a mixture is meant to be, one colour and one partner at a time."""
    random = np.random.default_rng(spread)
    palette = random.integers(0, spread + 1, (60, 3)).astype(np.uint8)
    colours = random.integers(0, spread + 1, (700, 3))
    nearest, second, fourths = mixed(colours, palette)
    whole = palette.astype(int)
    for colour, one, two, share in zip(colours, nearest, second, fourths, strict=True):
        assert ((whole - colour) ** 2).sum(axis=1).min() == ((whole[one] - colour) ** 2).sum()
        costs = {(one, 0): float(((colour - whole[one]) ** 2).sum())}
        for other in range(len(whole)):
            apart = ((whole[other] - whole[one]) ** 2).sum()
            if 0 < apart <= REACH**2:
                for part in (1, 2):
                    mean = whole[one] + (whole[other] - whole[one]) * part / 4
                    grain = GRAIN * (part / 4) * (1 - part / 4) * apart
                    costs[other, part] = ((colour - mean) ** 2).sum() + grain
        assert costs[two if share else one, share] == pytest.approx(min(costs.values()), abs=1e-9)


def test_shades_between_two_near_colours_are_mixed_and_far_ones_are_not():
    """One in four pixels of a mixture is 6 levels brighter: by arithmetic 1.5 levels on average."""
    palette = np.zeros((255, 3), np.uint8)
    palette[:3] = [(100, 100, 100), (106, 100, 100), (200, 0, 0)]
    for red, share in ((100, 0), (102, 1 / 4), (103, 1 / 2), (105, 3 / 4), (150, 1)):
        shown = palette[Mixer(palette).indices(np.full((8, 6, 3), (red, 100, 100), np.uint8))]
        assert np.mean(shown[..., 0] == 106) == share
        assert set(np.unique(shown[..., 0])) <= {100, 106}


def test_wide_soft_shades_have_no_bands(tmp_path):
    """Seen from afar, each patch of a backdrop is as it was drawn, to two thirds of a level.

    An eye sees steps from about one level on in such shades (from memory). Forty papers beside
    it, each in light and shade, take colours of the palette as the pieces of a spread do.
    """
    y, x = np.mgrid[:240, :320]
    shade = 190 - 34 * np.hypot((x - 150) / 320, (y - 130) / 240)
    frame = np.rint(shade[..., None] + (6, 0, -14)).astype(np.uint8)
    papers = np.random.default_rng(3).integers(40, 256, (40, 3)).repeat(8, axis=0)
    frame[160:] = np.rint(papers * np.linspace(1, 0.6, 80)[:, None, None])
    encode.write(tmp_path / "film.gif", [frame], FPS)
    (shown,), _, _ = read(tmp_path / "film.gif")
    patches = [np.asarray(one, float)[:160].reshape(20, 8, 40, 8, 3) for one in (shown, frame)]
    gaps = np.abs(np.subtract(*(patch.mean(axis=(1, 3)) for patch in patches)))
    assert np.percentile(gaps, 99) < 0.67


def test_what_is_left_as_it_was_is_hardly_different(tmp_path):
    """A shade that creeps by half a level a frame is never more than a level from what is shown."""
    x = np.arange(96)[None].repeat(64, axis=0)
    shades = [
        np.rint(90 + x / 4 + k / 2)[..., None].repeat(3, 2).astype(np.uint8) for k in range(9)
    ]
    encode.write(tmp_path / "film.gif", shades, FPS)
    frames, times, _ = read(tmp_path / "film.gif")
    starts = np.cumsum([0, *times[:-1]]) // 50
    gaps = [np.abs(a.astype(int) - shades[k]).max() for a, k in zip(frames, starts, strict=True)]
    assert max(gaps) <= 1


def test_what_goes_back_is_shown_as_it_was_on_its_way(tmp_path):
    """A shade that creeps there and back: each picture looks the same both times."""
    x = np.arange(96)[None].repeat(64, axis=0)
    shades = [
        np.rint(90 + x / 4 + 2 * k / 3)[..., None].repeat(3, 2).astype(np.uint8) for k in range(7)
    ]
    order = np.array([*range(7), *range(5, -1, -1), 1, 2])
    encode.write(tmp_path / "film.gif", StoredFrames(order, shades.__getitem__), FPS)
    frames, times, _ = read(tmp_path / "film.gif")
    starts = np.cumsum([0, *times[:-1]]) // 50
    first = {}
    for shown, k in zip(frames, order[starts], strict=True):
        assert np.array_equal(first.setdefault(k, shown), shown)
        assert np.abs(shown.astype(int) - shades[k]).max() <= 1
    assert len(first) == 7


def test_a_film_of_few_colours_keeps_every_one():
    frame = np.zeros((16, 16, 3), np.uint8)
    frame[::2] = (250, 10, 90)
    frame[5, 5] = (1, 2, 3)
    palette = shared([(frame, 1)], 1)
    assert np.array_equal(palette[Mixer(palette).indices(frame)], frame)


def test_colours_survive_packing():
    frame = np.random.default_rng(0).integers(0, 256, (5, 4, 3)).astype(np.uint8)
    assert np.array_equal(unpacked(packed(frame).ravel()).reshape(5, 4, 3), frame)


def test_the_changed_box_is_the_smallest():
    a = np.zeros((10, 12, 3), np.uint8)
    b = a.copy()
    b[3, 4], b[7, 9] = 1, 1
    assert changed(a, b) == (4, 3, 10, 8)
    assert changed(a, a) == (0, 0, 1, 1)
    assert changed(None, a) == (0, 0, 12, 10)


@pytest.mark.parametrize("kind", ["gif", "webp", "apng"])
def test_memory_does_not_grow_with_the_length_of_the_film(kind, tmp_path, monkeypatch):
    import tracemalloc

    monkeypatch.setattr(encode, "SPOOL_BYTES", 1000)

    def frames(count):
        rng = np.random.default_rng(4)
        few = rng.integers(0, 16, (4, 64, 96, 3)).astype(np.uint8)
        yield from (few[k % 4] + np.uint8(k % 7) for k in range(count))

    peaks = []
    for count in (20, 20, 120):  # the first fills what is kept once and for all
        tracemalloc.start()
        encode.write(tmp_path / f"film.{kind}", frames(count), FPS)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[2] - peaks[1] < 20 * 64 * 96 * 3
