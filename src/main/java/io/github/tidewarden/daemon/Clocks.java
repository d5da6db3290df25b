package io.github.tidewarden.daemon;

import io.github.tidewarden.config.ClockSpec;
import io.github.tidewarden.schedule.ClockSample;
import io.github.tidewarden.schedule.ClockSource;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * The machine's clocks. The time service's marker and the uptime are looked at by a thread of their
 * own, so that the control thread touches no file.
 */
final class Clocks implements AutoCloseable {

  private static final Path UPTIME = Path.of("/proc/uptime");
  private static final Path BOOT_ID = Path.of("/proc/sys/kernel/random/boot_id");
  private static final long LOOK_MILLIS = 250;

  private final ClockSpec spec;
  private final ScheduledExecutorService looking =
      Executors.newSingleThreadScheduledExecutor(
          work -> {
            Thread thread = new Thread(work, "clock");
            thread.setDaemon(true);
            return thread;
          });

  private volatile @Nullable Instant marker;

  /** Uptime less monotonic time, nanoseconds; grows by each suspend. */
  private volatile long uptimeAheadNanos;

  Clocks(ClockSpec spec) {
    this.spec = spec;
    look();
  }

  @SuppressWarnings("FutureReturnValueIgnored") // look() catches what it can meet
  void start() {
    looking.scheduleWithFixedDelay(this::look, LOOK_MILLIS, LOOK_MILLIS, TimeUnit.MILLISECONDS);
  }

  ClockSource source() {
    return switch (spec.trustedWhen()) {
      case SYNCHRONISED -> ClockSource.SYNCHRONISED;
      case BATTERY_BACKED -> ClockSource.BATTERY_BACKED;
    };
  }

  /** Both clocks now, and the marker as it was looked at last. */
  ClockSample sample() {
    Instant wall = Instant.now();
    long mono = System.nanoTime();
    return new ClockSample(wall, mono, marker, mono + uptimeAheadNanos);
  }

  /** Names this boot of the machine; a name that never comes back where the system tells none. */
  static String bootId() {
    try {
      return Files.readString(BOOT_ID).strip();
    } catch (IOException e) {
      return "unknown-" + java.util.UUID.randomUUID();
    }
  }

  @Override
  public void close() {
    looking.shutdownNow();
  }

  private void look() {
    try {
      marker =
          spec.trustedWhen() == ClockSpec.TrustedWhen.SYNCHRONISED
              ? Files.getLastModifiedTime(spec.marker()).toInstant()
              : null;
    } catch (IOException | SecurityException e) {
      marker = null;
    }
    try {
      String seconds = Files.readString(UPTIME).split(" ", 2)[0];
      uptimeAheadNanos = Math.round(Double.parseDouble(seconds) * 1e9) - System.nanoTime();
    } catch (IOException | NumberFormatException e) {
      // Without an uptime the monotonic clock, which counts from boot on Linux, has to do.
      uptimeAheadNanos = 0;
    }
  }
}
