package io.github.tidewarden.system;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.broker.Mosquitto;
import java.io.IOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Arrays;
import java.util.Locale;
import java.util.concurrent.TimeUnit;
import java.util.function.Supplier;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.DisabledIfSystemProperty;
import org.junit.jupiter.api.condition.EnabledIfSystemProperty;
import org.junit.jupiter.api.io.TempDir;

/**
 * Start-up and resident memory of the daemon beside those of a bare client of the same library that
 * connects and subscribes, both as processes of their own with the same flags (those of the service
 * unit) and the same class path. Medians of several turns on a quiet machine, on request; one short
 * turn always runs and tells its figures.
 */
class FootprintTest {
  private static final String QUIET = "tidewarden.quiet";

  /** What a board with 512 MB can spare with ease; our own bound. */
  private static final double MOST_MEGABYTES = 128;

  /** A gross fault: twice that. */
  private static final double GROSS_MEGABYTES = 256;

  @TempDir Path directory;

  @Test
  @DisabledIfSystemProperty(named = QUIET, matches = "true")
  void theDaemonHasNoGrossSizeOnAnyMachine() throws Exception {
    bench(1, Duration.ofSeconds(2), GROSS_MEGABYTES);
  }

  @Test
  @EnabledIfSystemProperty(named = QUIET, matches = "true")
  void theDaemonIsSmallBesideABareClient() throws Exception {
    bench(5, Duration.ofSeconds(10), MOST_MEGABYTES);
  }

  private void bench(int turns, Duration settles, double mostMegabytes) throws Exception {
    double[][] millis = new double[2][turns];
    double[][] megabytes = new double[2][turns];
    try (Mosquitto broker = new Mosquitto()) {
      URI uri = broker.start();
      for (int turn = 0; turn < turns; turn++) {
        Path place = Files.createDirectory(directory.resolve("turn-" + turn));
        SiteFile file = new SiteFile().broker(uri).stateDir(place.resolve("state"));
        Path config = file.write(place.resolve("site.yaml"));
        measure(
            uri,
            "tidewarden/" + file.site() + "/status",
            () -> DaemonProcess.start(place, "run", "--config", config.toString()),
            turn,
            settles,
            millis[0],
            megabytes[0]);
        measure(
            uri,
            "bare/status",
            () ->
                DaemonProcess.startMain(
                    place,
                    BareClient.class,
                    Integer.toString(uri.getPort()),
                    "bare/readings",
                    "bare/status"),
            turn,
            settles,
            millis[1],
            megabytes[1]);
      }
    }
    String told =
        String.format(
            Locale.ROOT,
            "daemon: up after %.0f ms, resident %.1f MB; bare client: %.0f ms, %.1f MB (medians of"
                + " %d)",
            median(millis[0]),
            median(megabytes[0]),
            median(millis[1]),
            median(megabytes[1]),
            turns);
    System.out.println(told);
    Files.writeString(Path.of("target", "footprint.txt"), told + "\n");
    assertThat(median(megabytes[0])).as(told).isLessThan(mostMegabytes);
  }

  private static void measure(
      URI broker,
      String says,
      Supplier<DaemonProcess> starts,
      int turn,
      Duration settles,
      double[] millis,
      double[] megabytes)
      throws Exception {
    // -R: what an earlier turn left on the broker is not an answer
    Process hears =
        Children.start("mosquitto_sub", broker, "-R", "-C", "1", "-t", says, "-W", "60");
    TimeUnit.SECONDS.sleep(1); // the listener connects
    long began = System.nanoTime();
    try (DaemonProcess process = starts.get()) {
      assertThat(Children.awaitEnd(hears, Duration.ofSeconds(60))).isZero();
      millis[turn] = (System.nanoTime() - began) / 1e6;
      TimeUnit.MILLISECONDS.sleep(settles.toMillis());
      megabytes[turn] = residentMegabytes(process.pid());
    }
  }

  private static double residentMegabytes(long pid) throws IOException {
    for (String line : Files.readAllLines(Path.of("/proc", Long.toString(pid), "status"))) {
      if (line.startsWith("VmRSS:")) {
        return Long.parseLong(line.replaceAll("\\D", "")) / 1024.0;
      }
    }
    throw new IOException("the system does not say what is resident");
  }

  private static double median(double[] values) {
    double[] sorted = values.clone();
    Arrays.sort(sorted);
    return sorted[sorted.length / 2];
  }
}
