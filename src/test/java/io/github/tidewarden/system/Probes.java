package io.github.tidewarden.system;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.io.Writer;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;

/**
 * Probes from outside: one {@code mosquitto_pub -l} for each topic, fed the topic's present value
 * once a period. A child that has lost its broker is replaced.
 */
final class Probes implements AutoCloseable {
  private static final Duration PATIENCE = Duration.ofSeconds(20);

  private final URI broker;
  private final Map<String, Source> sources = new TreeMap<>();
  private final ScheduledExecutorService thread =
      Executors.newSingleThreadScheduledExecutor(
          work -> {
            Thread made = new Thread(work, "probes");
            made.setDaemon(true);
            return made;
          });

  /** One topic. */
  private final class Source {
    private final String topic;
    private Process child;
    private Writer lines;
    private String value = "";
    private long lastNanos;

    Source(String topic) {
      this.topic = topic;
      open();
    }

    private void open() {
      child = Children.start("mosquitto_pub", broker, "-q", "1", "-l", "-t", topic);
      lines = child.outputWriter(StandardCharsets.UTF_8);
    }

    private void publish() {
      if (value.isEmpty()) {
        return;
      }
      try {
        if (!child.isAlive()) {
          open();
        }
        lastNanos = System.nanoTime();
        lines.write(value + "\n");
        lines.flush();
      } catch (IOException brokenPipe) {
        // The broker is gone, and the child with it; the next reading gets a new one.
        child.destroyForcibly();
      }
    }
  }

  /** Publishes nothing before it is told to. */
  @SuppressWarnings("FutureReturnValueIgnored") // tick() throws nothing
  Probes(URI broker, Duration period) {
    this.broker = broker;
    thread.scheduleAtFixedRate(
        this::tick, period.toNanos(), period.toNanos(), TimeUnit.NANOSECONDS);
  }

  private synchronized void tick() {
    sources.values().forEach(Source::publish);
  }

  /** Connects to a topic without a word. */
  synchronized Probes open(String topic) {
    sources.computeIfAbsent(topic, Source::new);
    return this;
  }

  /** Says a value now, and again every period. */
  synchronized long say(String topic, String value) {
    Source source = sources.computeIfAbsent(topic, Source::new);
    source.value = value;
    source.publish();
    return source.lastNanos;
  }

  /**
   * Falls silent.
   *
   * @return when the last reading was said, monotonic
   */
  synchronized long silence(String topic) {
    Source source = sources.computeIfAbsent(topic, Source::new);
    source.value = "";
    return source.lastNanos;
  }

  /** Says one thing once, with further options. */
  void once(String topic, String value, String... options) {
    String[] all = new String[options.length + 4];
    all[0] = "-t";
    all[1] = topic;
    all[2] = "-m";
    all[3] = value;
    System.arraycopy(options, 0, all, 4, options.length);
    Process child = Children.start("mosquitto_pub", broker, all);
    if (Children.awaitEnd(child, PATIENCE) != 0) {
      throw new IllegalStateException("mosquitto_pub failed");
    }
  }

  @Override
  public void close() {
    thread.shutdownNow();
    synchronized (this) {
      for (Source source : sources.values()) {
        source.child.destroyForcibly();
        try {
          source.lines.close();
        } catch (IOException alreadyGone) {
          // The child has closed its end.
        } catch (UncheckedIOException impossible) {
          throw new IllegalStateException(impossible);
        }
      }
    }
  }
}
