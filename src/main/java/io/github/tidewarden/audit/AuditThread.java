package io.github.tidewarden.audit;

import io.github.tidewarden.audit.AuditQueue.Entry;
import io.github.tidewarden.control.AuditRecord;
import java.time.Duration;
import java.time.LocalDate;
import java.util.concurrent.locks.LockSupport;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * The thread that owns the log, so that no other ever waits for a disk. Records come through {@link
 * HandOver}, answers go through {@link AuditListener}. Nothing may interrupt this thread: an
 * interrupt would close its file.
 */
public final class AuditThread implements AutoCloseable {

  /** Records that may be handed over while one write takes its time. */
  public static final int MOST_HANDED_OVER = HandOver.MOST;

  private static final Logger LOG = LoggerFactory.getLogger(AuditThread.class);
  private static final long PAUSE_AFTER_FAULT_NANOS = 1_000_000_000L;
  private static final Duration CLOSE_BOUND = Duration.ofSeconds(5);

  private final HandOver<?> handOver;
  private final Thread thread = new Thread(this::run, "audit");
  private final @Nullable BehindMark mark;
  private boolean behind;
  private volatile @Nullable String trouble;

  /** A thread that is not started yet, writing to {@code log}, without a mark. */
  public AuditThread(AuditLog<?> log, AuditListener listener) {
    this(log, listener, null);
  }

  /**
   * A thread that is not started yet.
   *
   * @param log to which it writes
   * @param listener who hears the answers
   * @param mark set while records wait that the disk does not take; null for none
   */
  public AuditThread(AuditLog<?> log, AuditListener listener, @Nullable BehindMark mark) {
    this.mark = mark;
    behind = mark != null && mark.isSet();
    handOver = new HandOver<>(log, new Guarded(listener));
    thread.setDaemon(true);
  }

  /** Starts the thread. */
  public void start() {
    thread.start();
  }

  /**
   * Hands a record over. Never blocks; the answer comes to the listener. Without room the line of
   * an older one that permits nothing is lost, which is told at once and on this thread; its effect
   * on the durable state is kept.
   *
   * @param ticket the caller's number for it
   * @param record its fields must not be changed any more
   * @param night the night's date
   * @param permits whether something may only happen once this is durable: a reservation, a reset
   */
  public void submit(long ticket, AuditRecord record, LocalDate night, boolean permits) {
    handOver.put(new Entry(ticket, record, night, permits));
  }

  /** Why the disk was last found failing; null while it is well. */
  public @Nullable String trouble() {
    return trouble;
  }

  /** Closes within 5 s. */
  @Override
  public void close() {
    close(CLOSE_BOUND);
  }

  /**
   * Takes no more records, tries once more to write what waits, and ends the thread.
   *
   * @return whether it ended within {@code atMost}; a disk that hangs can keep it longer
   */
  public boolean close(Duration atMost) {
    handOver.close();
    try {
      thread.join(Math.max(1, atMost.toMillis()));
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    return !thread.isAlive();
  }

  private void run() {
    AuditQueue<?> queue = handOver.queue();
    boolean last = false;
    while (!last) {
      try {
        last = handOver.take();
        do {
          queue.work(System.nanoTime());
          tellTrouble();
        } while (last && queue.nanosUntilWork(System.nanoTime()) == 0);
      } catch (Throwable e) { // nothing may end this thread: without it nothing is ever permitted
        LOG.error("the audit thread met a fault and goes on", e);
        LockSupport.parkNanos(PAUSE_AFTER_FAULT_NANOS);
      }
    }
    queue.abandon("the daemon is stopping");
  }

  private void tellTrouble() {
    String before = trouble;
    String now = handOver.queue().trouble();
    trouble = now;
    if (now != null && before == null) {
      LOG.error("the audit cannot be written, nothing is permitted until it can: {}", now);
    } else if (now == null && before != null) {
      LOG.warn("the audit is written again");
    }
    if (mark != null) {
      keep(mark, now != null);
    }
  }

  /** The mark goes only when nothing waits any more. */
  private void keep(BehindMark kept, boolean failing) {
    if (failing && !behind) {
      behind = true;
      kept.set();
    } else if (behind
        && !failing
        && handOver.queue().nanosUntilWork(System.nanoTime()) == Long.MAX_VALUE) {
      behind = false;
      kept.clear();
    }
  }

  /** A listener that throws must not take the answers of other records with it. */
  private record Guarded(AuditListener listener) implements AuditListener {

    @Override
    public void synced(long ticket) {
      guard(() -> listener.synced(ticket));
    }

    @Override
    public void failed(long ticket, String why) {
      guard(() -> listener.failed(ticket, why));
    }

    @Override
    public void head(Head head) {
      guard(() -> listener.head(head));
    }

    private static void guard(Runnable call) {
      try {
        call.run();
      } catch (RuntimeException e) {
        LOG.error("an answer of the audit was not taken", e);
      }
    }
  }
}
