package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.time.LocalDate;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * What waits to be written, and what becomes of it when the disk fails. Synchronous, without a
 * clock of its own, so that it runs the same in a rehearsal; {@link AuditThread} gives it a thread.
 *
 * <p>A record that permits something is tried once: if it is not durable after that it has failed,
 * and is never written later, since by then what it would permit may be wrong. All others wait, in
 * order, and are tried again after 1 s, 2 s, 4 s and so on up to 60 s. When too many wait, the
 * oldest that permits nothing is lost; its effect on the durable state is kept, and the number lost
 * is recorded when the disk is well again.
 *
 * @param <S> the durable state
 */
public final class AuditQueue<S> {

  /** Records that wait at most unless told otherwise: some 10 MB, on a heap of 32 MB. */
  public static final int MOST_WAITING = 2_000;

  private static final long FIRST_RETRY_NANOS = 1_000_000_000L;
  private static final long LONGEST_RETRY_NANOS = 60_000_000_000L;

  private static final String TOO_MANY = "too many records wait";

  private final AuditLog<S> log;
  private final int mostWaiting;
  private final AuditListener listener;
  private final ArrayDeque<Entry> waiting = new ArrayDeque<>();
  private long lost;
  private @Nullable String trouble;
  private long retryAtNanos;
  private long retryNanos = FIRST_RETRY_NANOS;

  /**
   * One record on its way.
   *
   * @param ticket the caller's number for it, for {@link AuditListener}
   * @param night the night's date
   * @param permits whether something may only happen once this is durable: a reservation, a reset
   */
  public record Entry(long ticket, AuditRecord record, LocalDate night, boolean permits) {}

  /** A queue before {@code log} that holds at most {@code mostWaiting} records. */
  public AuditQueue(AuditLog<S> log, int mostWaiting, AuditListener listener) {
    this.log = log;
    this.mostWaiting = mostWaiting;
    this.listener = listener;
  }

  /** Takes a record; writes nothing yet. While the disk is failing, one that permits fails here. */
  public void add(Entry entry, long nowNanos) {
    if (entry.permits() && isResting(nowNanos)) {
      listener.failed(entry.ticket(), "the disk is failing: " + trouble);
      return;
    }
    waiting.addLast(entry);
    if (waiting.size() > mostWaiting) {
      loseOne();
    }
  }

  /**
   * Writes and syncs what waits, at most {@link AuditLog#MOST_UNSYNCED} records of it, unless the
   * disk failed a moment ago. Never throws for a failing disk.
   */
  public void work(long nowNanos) {
    if (waiting.isEmpty() || isResting(nowNanos)) {
      return;
    }
    Batch batch = new Batch();
    Throwable failure = batch.write();
    List<Entry> durable = batch.takeDurable();
    batch.putBack();
    if (failure == null) {
      trouble = null;
      retryNanos = FIRST_RETRY_NANOS;
    } else {
      log.endSegment();
      trouble = failure instanceof IOException ? "" + failure.getMessage() : "" + failure;
      retryAtNanos = nowNanos + retryNanos;
      retryNanos = Math.min(2 * retryNanos, LONGEST_RETRY_NANOS);
    }
    batch.refused.forEach(one -> listener.failed(one.ticket(), one.why()));
    durable.forEach(entry -> listener.synced(entry.ticket()));
    if (failure == null) {
      listener.head(log.durable());
    } else {
      failPermits();
    }
  }

  /**
   * How long {@link #work} has nothing to do, in ns; {@link Long#MAX_VALUE} until a record comes.
   */
  public long nanosUntilWork(long nowNanos) {
    if (waiting.isEmpty()) {
      return Long.MAX_VALUE;
    }
    return trouble == null ? 0 : Math.max(0, retryAtNanos - nowNanos);
  }

  /**
   * Records were lost before they came here, and those that still wait were older. They are given
   * up too, since nothing older may follow what the log goes on from.
   *
   * @param state after all that was added and all that was lost, without what permits and is not
   *     durable
   * @param linesLost how many were lost
   */
  void overtake(S state, long linesLost) {
    lost += linesLost;
    log.overtake(state);
    while (!waiting.isEmpty()) {
      Entry entry = waiting.removeFirst();
      lost += entry.permits() ? 0 : 1;
      listener.failed(entry.ticket(), TOO_MANY);
    }
  }

  /** Why the disk was last found failing; null while it is well. */
  public @Nullable String trouble() {
    return trouble;
  }

  /** Gives up all that waits. */
  public void abandon(String why) {
    while (!waiting.isEmpty()) {
      listener.failed(waiting.removeFirst().ticket(), why);
    }
    log.close();
  }

  private boolean isResting(long nowNanos) {
    return trouble != null && retryAtNanos - nowNanos > 0;
  }

  private void failPermits() {
    List<Entry> permits = waiting.stream().filter(Entry::permits).toList();
    waiting.removeIf(Entry::permits);
    permits.forEach(entry -> listener.failed(entry.ticket(), "not written: " + trouble));
  }

  /** Records taken from the front of the queue, until each is durable or back in its place. */
  private final class Batch {

    final List<Refused> refused = new ArrayList<>();
    private final ArrayDeque<Entry> left = new ArrayDeque<>();
    private final ArrayDeque<Appended> appended = new ArrayDeque<>();
    private final long lossToRecord = lost;
    private long lossSeq = Long.MAX_VALUE;

    Batch() {
      while (!waiting.isEmpty() && left.size() < AuditLog.MOST_UNSYNCED) {
        left.addLast(waiting.removeFirst());
      }
    }

    /** Appends and syncs all; gives what went wrong, or null. */
    @Nullable Throwable write() {
      try {
        if (lossToRecord > 0) {
          Entry next = left.getFirst();
          lossSeq = log.append(lossNotice(lossToRecord, next.record()), next.night()).seq();
        }
        while (!left.isEmpty()) {
          append(left.getFirst());
          left.removeFirst();
        }
        log.sync();
        return null;
      } catch (IOException | RuntimeException | Error e) {
        return e;
      }
    }

    private void append(Entry entry) throws IOException {
      try {
        appended.addLast(new Appended(entry, log.append(entry.record(), entry.night()).seq()));
      } catch (RecordRefusedException e) {
        lost++;
        refused.add(new Refused(entry.ticket(), "not a record: " + e.getMessage()));
      }
    }

    /** What is durable: all of it, or what was synced on the way to a failure. */
    List<Entry> takeDurable() {
      long durableSeq = log.durable().seq();
      if (lossSeq <= durableSeq) {
        lost -= lossToRecord;
      }
      List<Entry> durable = new ArrayList<>();
      while (!appended.isEmpty() && appended.getFirst().seq() <= durableSeq) {
        durable.add(appended.removeFirst().entry());
      }
      return durable;
    }

    void putBack() {
      while (!left.isEmpty()) {
        waiting.addFirst(left.removeLast());
      }
      while (!appended.isEmpty()) {
        waiting.addFirst(appended.removeLast().entry());
      }
    }
  }

  private record Appended(Entry entry, long seq) {}

  private record Refused(long ticket, String why) {}

  private void loseOne() {
    Iterator<Entry> oldestFirst = waiting.iterator();
    while (oldestFirst.hasNext()) {
      Entry entry = oldestFirst.next();
      if (!entry.permits()) {
        oldestFirst.remove();
        lose(entry);
        return;
      }
    }
    listener.failed(waiting.removeLast().ticket(), TOO_MANY);
  }

  private void lose(Entry entry) {
    lost++;
    try {
      log.absorb(entry.record());
    } catch (RecordRefusedException e) {
      // it has no effect on the state that could be kept
    }
    listener.failed(entry.ticket(), TOO_MANY);
  }

  private static AuditRecord lossNotice(long lost, AuditRecord next) {
    return new AuditRecord(
        next.at(),
        next.trusted(),
        next.monoMillis(),
        "",
        Kind.NOTICE,
        lost + " records could not be kept while the disk failed",
        Map.of("lost", lost));
  }
}
