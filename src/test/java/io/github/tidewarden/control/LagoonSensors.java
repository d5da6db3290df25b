package io.github.tidewarden.control;

import java.util.List;
import java.util.Locale;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import java.util.function.Supplier;

/** What the sensors of the lagoon say of the water on its bench. */
final class LagoonSensors {

  /** A sensor, and how often it speaks where time is to pass quickly. */
  private static final class Speaker {
    final String topic;
    final long everyNanos;
    final Supplier<String> payload;
    long dueNanos;

    Speaker(String topic, int everySeconds, Supplier<String> payload) {
      this.topic = topic;
      this.payload = payload;
      everyNanos = TimeUnit.SECONDS.toNanos(everySeconds);
    }
  }

  private final WaterBench bench;
  private final Random random;
  private final List<Speaker> speakers;

  LagoonSensors(WaterBench bench, Random random) {
    this.bench = bench;
    this.random = random;
    // Each is well within its stale limit.
    speakers =
        List.of(
            new Speaker("lab/lagoon/redox/a", 30, () -> Integer.toString(bench.redox)),
            new Speaker("lab/lagoon/redox/b", 30, () -> "{\"mv\":" + bench.redox + "}"),
            new Speaker("lab/lagoon/skimmer/air", 20, () -> "5"),
            new Speaker("lab/lagoon/return", 20, () -> bench.returnRuns ? "1" : "0"),
            new Speaker("lab/lagoon/sump", 1, () -> "{\"depth\":" + level() + "}"),
            new Speaker("lab/lagoon/salinity", 60, () -> figure(bench.psu())),
            new Speaker("lab/lagoon/new-water", 60, this::bin),
            new Speaker("lab/lagoon/floor", 60, () -> bench.floor),
            new Speaker("lab/gallery/ozone", 30, () -> "3"));
  }

  /** All of them. */
  void speak() {
    speakers.forEach(this::speaks);
  }

  /** Those whose turn it is. */
  void speakInTurn() {
    for (Speaker speaker : speakers) {
      if (bench.mono >= speaker.dueNanos) {
        speaker.dueNanos = bench.mono + speaker.everyNanos;
        speaks(speaker);
      }
    }
  }

  /** After another origin of monotonic time. */
  void beginAnew() {
    speakers.forEach(speaker -> speaker.dueNanos = 0);
  }

  private void speaks(Speaker speaker) {
    bench.says(speaker.topic, speaker.payload.get());
  }

  private String level() {
    double level = Double.isNaN(bench.stuckMm) ? bench.levelMm() : bench.stuckMm;
    double seen = level + bench.noiseMm * random.nextGaussian();
    return figure(bench.stepMm == 0 ? seen : Math.rint(seen / bench.stepMm) * bench.stepMm);
  }

  private String bin() {
    double noise = bench.binNoiseLitres;
    return figure(bench.binLitres + (noise == 0 ? 0 : noise * random.nextGaussian()));
  }

  private static String figure(double value) {
    return String.format(Locale.ROOT, "%.2f", value);
  }
}
