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
    List<Entry> batch = new ArrayList<>();
    while (!waiting.isEmpty() && batch.size() < AuditLog.MOST_UNSYNCED) {
      batch.add(waiting.removeFirst());
    }
    Head head;
    try {
      long recorded = lost;
      if (recorded > 0) {
        Entry first = batch.get(0);
        log.append(lossNotice(recorded, first.record()), first.night());
      }
      appendAll(batch);
      head = log.sync();
      lost -= recorded;
    } catch (IOException | RuntimeException | Error e) {
      takeBack(batch, e, nowNanos);
      return;
    }
    trouble = null;
    retryNanos = FIRST_RETRY_NANOS;
    batch.forEach(entry -> listener.synced(entry.ticket()));
    listener.head(head);
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

  /** Appends each, and takes out of {@code batch} those that are not records. */
  private void appendAll(List<Entry> batch) throws IOException {
    Iterator<Entry> entries = batch.iterator();
    while (entries.hasNext()) {
      Entry entry = entries.next();
      try {
        log.append(entry.record(), entry.night());
      } catch (RecordRefusedException e) {
        entries.remove();
        lost++;
        listener.failed(entry.ticket(), "not a record: " + e.getMessage());
      }
    }
  }

  private void takeBack(List<Entry> batch, Throwable failure, long nowNanos) {
    log.endSegment();
    trouble = failure instanceof IOException ? String.valueOf(failure.getMessage()) : "" + failure;
    retryAtNanos = nowNanos + retryNanos;
    retryNanos = Math.min(2 * retryNanos, LONGEST_RETRY_NANOS);
    for (int i = batch.size() - 1; i >= 0; i--) {
      waiting.addFirst(batch.get(i));
    }
    List<Entry> permits = waiting.stream().filter(Entry::permits).toList();
    waiting.removeIf(Entry::permits);
    permits.forEach(entry -> listener.failed(entry.ticket(), "not written: " + trouble));
  }

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
    listener.failed(waiting.removeLast().ticket(), "too many records wait");
  }

  private void lose(Entry entry) {
    lost++;
    try {
      log.absorb(entry.record());
    } catch (RecordRefusedException e) {
      // it has no effect on the state that could be kept
    }
    listener.failed(entry.ticket(), "too many records wait");
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
