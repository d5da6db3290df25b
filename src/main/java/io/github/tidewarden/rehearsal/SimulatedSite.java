package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ScheduledFuture;
import java.util.concurrent.ScheduledThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.Consumer;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Simulated tanks on a real MQTT 5 broker, in real time: publishes what their sensors say, obeys
 * what their devices are told, drops them out, and reports their states. It has one thread and one
 * client of its own, and survives the loss of the broker; its devices drop out meanwhile.
 *
 * <p>Readings go out at QoS 0, state reports at QoS 1; nothing is retained. States are reported in
 * answer to a command, on change, on connect, and every 10 s.
 */
public final class SimulatedSite implements AutoCloseable {

  /**
   * What went through so far.
   *
   * @param readings sensor messages published
   * @param reports state reports published
   * @param commands messages received on set-topics
   * @param connects how often it was connected and subscribed
   * @param dropped messages lost because too many were waiting
   * @param faults errors of the simulator itself; anything but 0 is a bug
   */
  public record Counters(
      long readings, long reports, long commands, long connects, long dropped, long faults) {}

  private static final Logger LOG = LoggerFactory.getLogger(SimulatedSite.class);

  private static final long STATES_EVERY_NANOS = TimeUnit.SECONDS.toNanos(10);
  private static final long CLOSE_MILLIS = 2000;

  private final SiteRig rig;
  private final long periodNanos;
  private final ScheduledThreadPoolExecutor thread;
  private final SimulatorLink link;
  private final AtomicLong readings = new AtomicLong();
  private final AtomicLong reports = new AtomicLong();
  private final AtomicLong commands = new AtomicLong();
  private final AtomicLong faults = new AtomicLong();
  private @Nullable ScheduledFuture<?> dropOut;
  private @Nullable ScheduledFuture<?> dueReadings;
  private long statesNanos;

  /**
   * A site that is not started yet.
   *
   * @param brokerUri {@code mqtt://HOST:PORT} (or {@code tcp://})
   * @param specs the tanks
   * @param models the figures of each tank
   * @param seed of all noise
   * @param period from one reading of every sensor to the next, such as 1 s
   * @throws IllegalArgumentException when the address is of another kind or the period not positive
   */
  public SimulatedSite(
      String brokerUri,
      List<TankSpec> specs,
      Function<TankSpec, TankModel> models,
      long seed,
      Duration period) {
    if (period.isZero() || period.isNegative()) {
      throw new IllegalArgumentException("period " + period + " is not positive");
    }
    periodNanos = period.toNanos();
    statesNanos = System.nanoTime();
    rig = new SiteRig(specs, models, seed, statesNanos);
    thread = new ScheduledThreadPoolExecutor(1, SimulatedSite::daemonThread);
    thread.setRemoveOnCancelPolicy(true);
    thread.setExecuteExistingDelayedTasksAfterShutdownPolicy(false);
    link = new SimulatorLink(brokerUri, rig.setTopics(), thread, new Commands());
  }

  private static Thread daemonThread(Runnable task) {
    Thread thread = new Thread(task, "simulated-site");
    thread.setDaemon(true);
    return thread;
  }

  /**
   * Connects and begins to publish; returns at once.
   *
   * @throws IllegalStateException when it was started before
   */
  public void start() {
    if (dueReadings != null) {
      throw new IllegalStateException("started before");
    }
    thread.execute(link::connect);
    dueReadings =
        thread.scheduleWithFixedDelay(
            () -> guarded(this::tick), 0, periodNanos, TimeUnit.NANOSECONDS);
  }

  /** Whether it is connected and subscribed. */
  public boolean connected() {
    return link.connected();
  }

  /** What went through so far. */
  public Counters counters() {
    return new Counters(
        readings.get(),
        reports.get(),
        commands.get(),
        link.connects(),
        link.dropped(),
        faults.get() + link.faults());
  }

  /**
   * Asks about the simulated world as it is now, on the simulator's thread.
   *
   * @throws java.util.concurrent.CompletionException with what the question threw
   */
  public <T> T ask(Function<SiteRig, T> question) {
    return CompletableFuture.supplyAsync(
            () -> {
              rig.advanceTo(System.nanoTime());
              return question.apply(rig);
            },
            thread)
        .join();
  }

  /**
   * Changes the simulated world: a fault, a power cut, a quantity. Returns when it is done and the
   * state reports that follow are on their way.
   *
   * @throws java.util.concurrent.CompletionException with what the change threw
   */
  public void act(Consumer<SiteRig> change) {
    CompletableFuture.runAsync(
            () -> {
              rig.advanceTo(System.nanoTime());
              change.accept(rig);
              settle();
            },
            thread)
        .join();
  }

  private void tick() {
    settle();
    for (SiteRig.Message reading : rig.readings(Instant.now())) {
      if (link.publish(reading, 0)) {
        readings.incrementAndGet();
      }
    }
    if (System.nanoTime() - statesNanos >= STATES_EVERY_NANOS) {
      publishStates();
    }
  }

  private void settle() {
    rig.advanceTo(System.nanoTime());
    rig.takeReports().forEach(this::publishReport);
    if (dropOut != null) {
      dropOut.cancel(false);
      dropOut = null;
    }
    rig.nextDropOutNanos()
        .ifPresent(
            at ->
                dropOut =
                    thread.schedule(
                        () -> guarded(this::settle), at - System.nanoTime(), TimeUnit.NANOSECONDS));
  }

  private void publishStates() {
    statesNanos = System.nanoTime();
    rig.states().forEach(this::publishReport);
  }

  private void publishReport(SiteRig.Message report) {
    if (link.publish(report, 1)) {
      reports.incrementAndGet();
    }
  }

  private void guarded(Runnable task) {
    try {
      task.run();
    } catch (RuntimeException failed) {
      // A throwing periodic task would never run again, without a word.
      faults.incrementAndGet();
      LOG.error("the simulator failed", failed);
    }
  }

  /** Stops publishing and disconnects; devices stay as they are. Waits at most 2 s. */
  @Override
  public void close() {
    if (thread.isShutdown()) {
      return;
    }
    CompletableFuture<@Nullable Thread> stopping =
        CompletableFuture.supplyAsync(link::stop, thread);
    thread.shutdown();
    Thread disposing = stopping.join();
    if (disposing != null) {
      try {
        disposing.join(CLOSE_MILLIS);
      } catch (InterruptedException interrupted) {
        Thread.currentThread().interrupt();
      }
    }
  }

  private final class Commands implements SimulatorLink.Listener {
    @Override
    public void connected() {
      guarded(SimulatedSite.this::publishStates);
    }

    @Override
    public void message(String topic, String payload) {
      guarded(
          () -> {
            commands.incrementAndGet();
            rig.command(topic, payload, System.nanoTime());
            settle();
          });
    }
  }
}
