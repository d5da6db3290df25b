package io.github.tidewarden.audit;

import io.github.tidewarden.audit.AuditQueue.Entry;
import io.github.tidewarden.control.AuditRecord;
import java.util.ArrayDeque;
import java.util.HashMap;
import java.util.Iterator;
import java.util.Map;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;
import org.jspecify.annotations.Nullable;

/**
 * Where the control thread lays records down and the audit thread takes them up, bounded; its lock
 * is never held during a read or write.
 *
 * <p>When a hanging disk lets too many wait, the line of the oldest that permits nothing is lost,
 * but not what it says of the durable state: that is kept in {@link #state}, and goes into the next
 * checkpoint. A record that permits something takes effect only once it is durable, so it has its
 * place in that state when it is. Records after it do not wait for it and do not depend on it.
 *
 * @param <S> the durable state
 */
final class HandOver<S> {

  /** Records that wait at most. */
  static final int MOST = 1_000;

  private final AuditQueue<S> queue;
  private final Fold<S> fold;
  private final AuditListener listener;
  private final ReentrantLock lock = new ReentrantLock();
  private final Condition changed = lock.newCondition();
  private final ArrayDeque<Entry> waiting = new ArrayDeque<>();

  /** What was taken, permits something and is not answered, by ticket. */
  private final Map<Long, AuditRecord> permits = new HashMap<>();

  /** After all that was taken or lost, without what permits and is not durable. */
  private S state;

  /** Lines lost, but for those that the queue knows of. */
  private long lost;

  private boolean closing;

  /** An empty one before {@code log}. */
  HandOver(AuditLog<S> log, AuditListener listener) {
    this.listener = listener;
    fold = log.fold();
    state = log.state();
    queue = new AuditQueue<>(log, AuditQueue.MOST_WAITING, new Answers());
  }

  /** The queue into which records are taken; for the audit thread alone. */
  AuditQueue<S> queue() {
    return queue;
  }

  /** Lays a record down; never waits for a disk. */
  void put(Entry entry) {
    @Nullable Entry refused = entry;
    lock.lock();
    try {
      if (!closing) {
        waiting.addLast(entry);
        refused = waiting.size() > MOST ? loseOne() : null;
        changed.signal();
      }
    } finally {
      lock.unlock();
    }
    if (refused != null) {
      listener.failed(refused.ticket(), "the audit takes no more records");
    }
  }

  private Entry loseOne() {
    Iterator<Entry> oldestFirst = waiting.iterator();
    while (oldestFirst.hasNext()) {
      Entry entry = oldestFirst.next();
      if (!entry.permits()) {
        oldestFirst.remove();
        lost++;
        keep(entry.record());
        return entry;
      }
    }
    return waiting.removeLast();
  }

  private void keep(AuditRecord record) {
    try {
      state = fold.apply(state, record);
    } catch (RuntimeException | StackOverflowError e) {
      // it has no effect that could be kept, and the log will not take it either
    }
  }

  /** Takes no more. */
  void close() {
    lock.lock();
    try {
      closing = true;
      changed.signal();
    } finally {
      lock.unlock();
    }
  }

  /**
   * Waits until the queue has something to do and moves some of what waits into it.
   *
   * @return whether nothing will follow
   */
  boolean take() {
    lock.lock();
    try {
      long wait = queue.nanosUntilWork(System.nanoTime());
      while (waiting.isEmpty() && !closing && wait > 0) {
        wait = changed.awaitNanos(wait);
      }
      move();
    } catch (InterruptedException e) {
      // only a reason to look again
    } finally {
      lock.unlock();
    }
    return isOver();
  }

  private boolean isOver() {
    lock.lock();
    try {
      return closing && waiting.isEmpty();
    } finally {
      lock.unlock();
    }
  }

  /** At most as many as are synced at once, so that whoever lays one down waits for little. */
  private void move() {
    if (lost > 0) {
      queue.overtake(state, lost);
      lost = 0;
    }
    for (int i = 0; i < AuditLog.MOST_UNSYNCED && !waiting.isEmpty(); i++) {
      Entry entry = waiting.removeFirst();
      if (entry.permits()) {
        permits.put(entry.ticket(), entry.record());
      } else {
        keep(entry.record());
      }
      queue.add(entry, System.nanoTime());
    }
  }

  private void answered(long ticket, boolean durable) {
    lock.lock();
    try {
      AuditRecord permitting = permits.remove(ticket);
      if (durable && permitting != null) {
        keep(permitting);
      }
    } finally {
      lock.unlock();
    }
  }

  /** Answers on their way to the listener; what permits is part of the state once durable. */
  private final class Answers implements AuditListener {
    @Override
    public void synced(long ticket) {
      answered(ticket, true);
      listener.synced(ticket);
    }

    @Override
    public void failed(long ticket, String why) {
      answered(ticket, false);
      listener.failed(ticket, why);
    }

    @Override
    public void head(Head head) {
      listener.head(head);
    }
  }
}
