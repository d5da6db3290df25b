package io.github.tidewarden.daemon;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;

/**
 * What other threads tell the control thread, and what wakes it. Readings wait in the inbox; here
 * are only the rare things: the link, the disk, the keeper's stop.
 */
final class Mailbox<M> {

  /** Letters that may wait; more can only mean that the control thread is dead. */
  static final int MOST = 100_000;

  private final ReentrantLock lock = new ReentrantLock();
  private final Condition something = lock.newCondition();
  private final ArrayDeque<M> letters = new ArrayDeque<>();
  private boolean woken;

  /**
   * Leaves a letter; never blocks.
   *
   * @throws IllegalStateException when {@link #MOST} letters wait already
   */
  void post(M letter) {
    lock.lock();
    try {
      if (letters.size() >= MOST) {
        throw new IllegalStateException("the control thread does not read its mail");
      }
      letters.addLast(letter);
      something.signal();
    } finally {
      lock.unlock();
    }
  }

  /** Wakes the control thread without a letter. */
  void wake() {
    lock.lock();
    try {
      woken = true;
      something.signal();
    } finally {
      lock.unlock();
    }
  }

  /** Waits until there is something to do, at most for {@code nanos}; returns the letters. */
  List<M> await(long nanos) throws InterruptedException {
    lock.lock();
    try {
      long left = nanos;
      while (letters.isEmpty() && !woken && left > 0) {
        left = something.awaitNanos(left);
      }
      woken = false;
      List<M> taken = new ArrayList<>(letters);
      letters.clear();
      return taken;
    } finally {
      lock.unlock();
    }
  }
}
