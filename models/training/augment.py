"""Rooms, channels, noise and masks, a whole batch at a time on the GPU.

Audio is (B, samples) at 16 kHz, speech near -20 dB of full scale. Every function draws new values
for each clip from the torch generator that it is given. Ranges are common practice, no source,
but for the ones explained.
"""

import math

import torch
from torch import Generator, Tensor

SAMPLE_RATE = 16_000  # Hz


class Draw:
    """Random numbers of shape (B, 1, ...), one generator for all."""

    def __init__(self, generator: Generator, device: torch.device) -> None:
        self.generator = generator
        self.device = device

    def uniform(self, low: float, high: float, *shape: int) -> Tensor:
        """Evenly between `low` and `high`."""
        drawn = torch.rand(shape, generator=self.generator, device=self.device)
        return low + (high - low) * drawn

    def normal(self, *shape: int) -> Tensor:
        """Mean 0, deviation 1."""
        return torch.randn(shape, generator=self.generator, device=self.device)

    def chance(self, probability: float, batch: int) -> Tensor:
        """True for about this share of the clips, (B, 1)."""
        return self.uniform(0, 1, batch, 1) < probability


def spoil(clean: Tensor, content: Tensor, draw: Draw) -> Tensor:
    """What a far, cheap or busy microphone makes of `clean`.

    `content` (B,) is the number of samples that hold speech; behind them half of the clips stay
    digitally silent after a moment, as when a voice detector cuts the end.
    """
    batch, samples = clean.shape
    heard = _through(clean, _room(batch, draw))
    mixed = torch.where(
        draw.chance(0.85, batch), heard + _noise(clean, heard, content, draw), heard
    )
    received = _through_channel(mixed, draw)
    received = _levelled(received, draw)
    received = _microphone(received, draw)
    received = _with_lost_packets(received, draw)
    cut = content[:, None] + draw.uniform(0.1, 0.8, batch, 1) * SAMPLE_RATE
    position = torch.arange(samples, device=clean.device)
    silent_after = draw.chance(0.5, batch) & (position > cut)
    return received.masked_fill(silent_after, 0.0)


def mask(mel: Tensor, draw: Draw) -> Tensor:
    """SpecAugment on (B, 80, frames): two bands of up to 10, two moments of up to 120 ms."""
    batch, bands, frames = mel.shape
    hidden = torch.zeros_like(mel, dtype=torch.bool)
    for axis, size, widest in ((1, bands, 10), (2, frames, 12)) * 2:
        start = draw.uniform(0, size, batch, 1)
        end = start + draw.uniform(0, widest, batch, 1)
        places = torch.arange(size, device=mel.device)
        chosen = (places >= start) & (places < end)
        hidden |= chosen[:, :, None] if axis == 1 else chosen[:, None, :]
    return torch.where(hidden, mel.mean(dim=(1, 2), keepdim=True), mel)


def _spectrum_size(samples: int) -> int:
    return int(2 ** math.ceil(math.log2(samples + SAMPLE_RATE // 2)))


def _through(audio: Tensor, response: Tensor) -> Tensor:
    """Convolve with impulse responses (B, up to half a second)."""
    samples = audio.shape[1]
    size = _spectrum_size(samples)
    spectrum = torch.fft.rfft(audio, size) * torch.fft.rfft(response, size)
    convolved: Tensor = torch.fft.irfft(spectrum, size)[:, :samples]
    return convolved


def _room(batch: int, draw: Draw) -> Tensor:
    """Direct sound at time zero, then decaying noise: RT60 0.1 to 0.7 s, -2 to 18 dB below it.

    Time zero, because the student must answer in the same frame as the teacher.
    """
    length = SAMPLE_RATE // 2
    time = torch.arange(length, device=draw.device) / SAMPLE_RATE
    decay = torch.exp(-6.9 * time / draw.uniform(0.1, 0.7, batch, 1))  # -60 dB is e^-6.9
    gap = draw.uniform(0.001, 0.012, batch, 1)
    tail = draw.normal(batch, length) * decay * (time > gap)
    energy = tail.square().sum(dim=1, keepdim=True).sqrt()
    level = 10 ** (-draw.uniform(-2, 18, batch, 1) / 20)
    tail = tail / energy * level * draw.chance(0.55, batch)
    tail[:, 0] = 1.0
    return tail


def _noise(clean: Tensor, heard: Tensor, content: Tensor, draw: Draw) -> Tensor:
    """Coloured noise, hum, babble and bangs in any mixture, scaled to -2 to 30 dB below speech."""
    batch, samples = heard.shape
    noise = _coloured(batch, samples, draw) * _swelling(batch, samples, draw)
    kinds = (
        (_hum(batch, samples, draw), 0.25, 0.7),
        (_babble(clean, draw), 0.25, 1.5),
        (_bangs(batch, samples, draw), 0.3, 3.0),
    )
    for sound, probability, loudest in kinds:
        level = draw.uniform(0, loudest, batch, 1) * draw.chance(probability, batch)
        noise = noise + _unit_power(sound) * level
    speech = heard.square().sum(dim=1, keepdim=True) / content[:, None].clamp(min=1)
    snr_db = draw.uniform(-2, 30, batch, 1)
    return _unit_power(noise) * speech.sqrt() * 10 ** (-snr_db / 20)


def _unit_power(audio: Tensor) -> Tensor:
    return audio / (audio.square().mean(dim=1, keepdim=True).sqrt() + 1e-6)


def _coloured(batch: int, samples: int, draw: Draw) -> Tensor:
    """White to brown, power falling with the 0th to 2nd power of frequency."""
    frequency = torch.fft.rfftfreq(samples, 1 / SAMPLE_RATE, device=draw.device).clamp(min=40)
    slope = draw.uniform(0, 1, batch, 1)  # of amplitude: half of that of power
    spectrum = torch.fft.rfft(draw.normal(batch, samples)) * frequency ** (-slope)
    return _unit_power(torch.fft.irfft(spectrum, samples))


def _swelling(batch: int, samples: int, draw: Draw) -> Tensor:
    """Slow loudness changes of up to 12 dB, some faster like a tool that runs in bursts."""
    time = torch.arange(samples, device=draw.device) / SAMPLE_RATE
    rate = draw.uniform(0.1, 3.0, batch, 1)
    phase = draw.uniform(0, 2 * math.pi, batch, 1)
    depth_db = draw.uniform(0, 6, batch, 1)
    return 10 ** (depth_db * torch.sin(2 * math.pi * rate * time + phase) / 20)


def _hum(batch: int, samples: int, draw: Draw) -> Tensor:
    """Mains of 50 and 60 Hz, aircraft ground power of 400 Hz, and rotating tools, 8 harmonics."""
    mains = torch.tensor([50.0, 60.0, 400.0, 0.0], device=draw.device)
    chosen = mains[draw.uniform(0, 4, batch, 1).long()]
    pitch = torch.where(chosen > 0, chosen, draw.uniform(80, 700, batch, 1))
    time = torch.arange(samples, device=draw.device) / SAMPLE_RATE
    hum = torch.zeros(batch, samples, device=draw.device)
    for harmonic in range(1, 9):
        phase = draw.uniform(0, 2 * math.pi, batch, 1)
        strength = draw.uniform(0, 1, batch, 1) / harmonic
        hum = hum + strength * torch.sin(2 * math.pi * pitch * harmonic * time + phase)
    return hum


def _babble(clean: Tensor, draw: Draw) -> Tensor:
    """Four other clips of the batch, each started somewhere else."""
    batch, samples = clean.shape
    babble = torch.zeros_like(clean)
    starts = draw.uniform(0, samples, 4).long().tolist()
    for other, start in enumerate(starts, start=1):
        # Backwards, so that no word of it could rightly be heard.
        babble = babble + clean.roll((other * batch // 5, start), dims=(0, 1)).flip(1)
    return babble


def _bangs(batch: int, samples: int, draw: Draw) -> Tensor:
    """About one struck object a second, ringing for 5 to 100 ms."""
    strikes = (draw.uniform(0, 1, batch, samples) < 1 / SAMPLE_RATE) * draw.normal(batch, samples)
    time = torch.arange(SAMPLE_RATE // 2, device=draw.device) / SAMPLE_RATE
    ring = torch.exp(-time / draw.uniform(0.005, 0.1, batch, 1)) * torch.sin(
        2 * math.pi * draw.uniform(200, 4000, batch, 1) * time
    )
    ring = ring + 0.3 * draw.normal(batch, len(time)) * torch.exp(-time / 0.01)
    return _through(strikes, ring)


def _through_channel(audio: Tensor, draw: Draw) -> Tensor:
    """Tilt, and for half of the clips band limits, down to a telephone's 300 to 3400 Hz."""
    batch, samples = audio.shape
    size = _spectrum_size(samples)
    frequency = torch.fft.rfftfreq(size, 1 / SAMPLE_RATE, device=audio.device).clamp(min=20)
    octaves = torch.log2(frequency / 1000)
    gain_db = octaves * draw.uniform(-3, 3, batch, 1)
    for _ in range(2):  # resonances and holes of a cheap capsule
        centre = draw.uniform(-3, 2.8, batch, 1)
        width = draw.uniform(0.2, 1.0, batch, 1)
        gain_db = gain_db + draw.uniform(-9, 7, batch, 1) * torch.exp(
            -((octaves - centre) ** 2) / width
        )
    # A capsule near the lips boosts low sounds.
    near = draw.uniform(0, 10, batch, 1) * draw.chance(0.25, batch)
    gain_db = gain_db + near * torch.sigmoid(-4 * (octaves + 2.3))
    # Sampled at 8 kHz: nothing at all above 4 kHz, and a little less with a cheap converter.
    narrow = draw.chance(0.2, batch) & (frequency > draw.uniform(3500, 4000, batch, 1))
    gain_db = gain_db.masked_fill(narrow, -80.0)
    limited = draw.chance(0.5, batch)
    telephone = draw.chance(0.3, batch)
    low = torch.where(telephone, 300.0, draw.uniform(50, 400, batch, 1))
    high = torch.where(telephone, 3400.0, draw.uniform(2600, 8000, batch, 1))
    # 48 dB an octave, as steep as the filters of a codec.
    outside = torch.relu(torch.log2(low / frequency)) + torch.relu(torch.log2(frequency / high))
    gain_db = gain_db - 48 * outside * limited
    spectrum = torch.fft.rfft(audio, size) * 10 ** (gain_db.clamp(min=-80) / 20)
    received: Tensor = torch.fft.irfft(spectrum, size)[:, :samples]
    return received


def _levelled(audio: Tensor, draw: Draw) -> Tensor:
    """For one in five an automatic gain, which lifts what is quiet within 50 to 400 ms."""
    batch, samples = audio.shape
    strength = draw.uniform(0.2, 0.8, batch, 1) * draw.chance(0.2, batch)
    width = int(draw.uniform(0.05, 0.4, 1).item() * SAMPLE_RATE) | 1
    power = torch.nn.functional.avg_pool1d(
        audio.square()[:, None], width, stride=1, padding=width // 2, count_include_pad=False
    )[:, 0, :samples]
    loudest = power.amax(dim=1, keepdim=True) + 1e-9
    return audio * (power / loudest + 1e-3) ** (-strength / 2)


def _with_lost_packets(audio: Tensor, draw: Draw) -> Tensor:
    """For one in ten, up to 4 % of the packets of 20 ms are missing: radio headsets, Bluetooth.

    More than that must not be read but asked again, so it is not trained on.
    """
    batch, samples = audio.shape
    packets = -(-samples // 320)
    share = draw.uniform(0, 0.04, batch, 1) * draw.chance(0.1, batch)
    lost = draw.uniform(0, 1, batch, packets) < share
    return audio.masked_fill(lost.repeat_interleave(320, dim=1)[:, :samples], 0.0)


def _microphone(audio: Tensor, draw: Draw) -> Tensor:
    """A level of -45 to 0 dB, and for one in eight clipping, for one in six 8-bit samples."""
    batch = audio.shape[0]
    peak = audio.abs().amax(dim=1, keepdim=True) + 1e-6
    audio = audio / peak * 10 ** (-draw.uniform(0, 45, batch, 1) / 20)
    top = audio.abs().amax(dim=1, keepdim=True) * draw.uniform(0.1, 0.6, batch, 1)
    clipped = torch.minimum(torch.maximum(audio, -top), top)
    audio = torch.where(draw.chance(0.12, batch), clipped, audio)
    # Mu-law, ITU-T G.711, as telephones and radios send it.
    curved = torch.sign(audio) * torch.log1p(255 * audio.abs()) / math.log(256)
    steps = (curved * 127).round() / 127
    telephone = torch.sign(steps) * (256 ** steps.abs() - 1) / 255
    return torch.where(draw.chance(0.15, batch), telephone, audio)
