package io.github.tidewarden.audit;

import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Request;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Interval;
import io.github.tidewarden.schedule.Nights;
import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.ArrayDeque;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.LockSupport;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Keeps all that the core is given, so that a night can be replayed. The control thread lays it
 * down and goes on; a thread of its own writes it. What finds no room, or no disk, is missing in
 * the trace and disturbs nothing else; after such a gap the trace begins anew with the core's whole
 * state, which costs the control thread nothing, since a state never changes.
 */
public final class Trace implements AutoCloseable {

  /** Events that wait at most. */
  static final int MOST_WAITING = 8_192;

  /** What their payloads take at most, bytes. */
  static final int MOST_WAITING_BYTES = 4 * 1024 * 1024;

  private static final Logger LOG = LoggerFactory.getLogger(Trace.class);
  private static final long PAUSE_NANOS = TimeUnit.MILLISECONDS.toNanos(200);
  private static final long PAUSE_AFTER_FAILURE_NANOS = TimeUnit.MINUTES.toNanos(1);

  /**
   * What the control thread lays down.
   *
   * @param entry what is known before the event: a start, or the whole state; null for no more than
   *     before
   * @param night in which that is; null where {@code entry} is
   */
  private record Laid(
      @Nullable TraceEntry entry,
      @Nullable LocalDate night,
      long number,
      @Nullable Event event,
      Moment now) {}

  private final ZoneId zone;
  private final TraceWriter writer;
  private final Thread thread = new Thread(this::run, "trace");

  // The control thread's own.
  private long number;
  private boolean gap;
  private LocalDate night = LocalDate.EPOCH;
  private @Nullable Interval tonight; // null: it must be reckoned

  // Between the two; guarded by the queue itself.
  private ArrayDeque<Laid> waiting = new ArrayDeque<>();
  private int waitingBytes;
  private boolean closing;

  /** The trace's thread wants the whole state with the next event. */
  private volatile boolean wanted;

  // The trace's own thread's.
  private long next;
  private @Nullable Moment at;
  private boolean failing;
  private long retryNanos;

  private final Object lock = new Object();

  /**
   * A trace that is not started yet.
   *
   * @param directory is made when it is not there
   * @param program the version that writes
   * @param configDigest fingerprint of the configuration
   * @param site the site's name
   * @param zone in which nights are reckoned
   */
  public Trace(Path directory, String program, String configDigest, String site, ZoneId zone) {
    this.zone = zone;
    writer = new TraceWriter(directory, program, configDigest, site);
    thread.setDaemon(true);
  }

  /** Starts the thread. */
  public void start() {
    thread.start();
  }

  /** The core is given its first step. Called once, before any event. */
  public void booted(TraceEntry.Booted start) {
    reckonNight(start.now());
    lay(new Laid(start, night, 0, null, start.now()), 0);
  }

  /**
   * The core is given an event. Never waits for a disk.
   *
   * @param before what it is given with it; of an immutable kind, and read later
   */
  public void happens(SiteState before, Event event, Moment now) {
    long mine = number++;
    boolean rolls = tonight == null || !tonight.contains(now.wall());
    if (rolls) {
      reckonNight(now);
    }
    boolean whole = rolls || gap || wanted;
    TraceEntry known = whole ? new TraceEntry.Known(mine, 0, before) : null;
    gap = !lay(new Laid(known, whole ? night : null, mine, event, now), bytes(event));
    if (whole && !gap) {
      wanted = false;
    } else if (gap && rolls) {
      tonight = null;
    }
  }

  private void reckonNight(Moment now) {
    night = Nights.nightOf(now.wall(), zone);
    tonight = Nights.interval(night, zone);
  }

  private static int bytes(Event event) {
    if (event instanceof Event.Heard heard) {
      return heard.reading().payload().length;
    }
    Request request =
        event instanceof Event.Asked asked
            ? asked.request()
            : event instanceof Event.TurnedAway away ? away.request() : null;
    return request == null ? 0 : request.payload().length;
  }

  private boolean lay(Laid laid, int bytes) {
    int size;
    synchronized (lock) {
      if (closing || waiting.size() >= MOST_WAITING || waitingBytes + bytes > MOST_WAITING_BYTES) {
        return false;
      }
      waiting.add(laid);
      waitingBytes += bytes;
      size = waiting.size();
    }
    if (size == MOST_WAITING / 4) {
      LockSupport.unpark(thread); // it looks by itself, but not often enough now
    }
    return true;
  }

  private ArrayDeque<Laid> take() {
    synchronized (lock) {
      ArrayDeque<Laid> taken = waiting;
      waiting = new ArrayDeque<>();
      waitingBytes = 0;
      lock.notifyAll();
      return taken;
    }
  }

  /**
   * Waits until what was laid down is taken to be written: for one that lays down faster than a
   * daemon does, in virtual time. A control thread never calls it.
   */
  public void awaitTaken() throws InterruptedException {
    LockSupport.unpark(thread);
    synchronized (lock) {
      while (!waiting.isEmpty() && thread.isAlive()) {
        lock.wait(PAUSE_NANOS / 1_000_000);
      }
    }
  }

  private boolean isClosing() {
    synchronized (lock) {
      return closing;
    }
  }

  private void run() {
    boolean last = false;
    while (!last) {
      last = isClosing();
      ArrayDeque<Laid> taken = take();
      while (!taken.isEmpty()) {
        Laid laid = taken.remove();
        guarded(() -> write(laid));
      }
      guarded(last ? writer::close : writer::passTime);
      if (failing && System.nanoTime() - retryNanos >= 0) {
        wanted = true;
      }
      if (!last) {
        LockSupport.parkNanos(PAUSE_NANOS);
      }
    }
  }

  private interface Work {
    void run() throws IOException;
  }

  private void guarded(Work work) {
    try {
      work.run();
    } catch (IOException | RuntimeException | StackOverflowError e) {
      writer.abandon();
      retryNanos = System.nanoTime() + PAUSE_AFTER_FAILURE_NANOS;
      if (!failing) {
        LOG.warn("the trace is not written, nothing else suffers: {}", e.toString());
      }
      failing = true;
    }
  }

  private void write(Laid laid) throws IOException {
    if (laid.entry() != null && laid.night() != null) {
      opens(laid.entry(), laid.night(), laid.number());
    }
    Event event = laid.event();
    if (event == null || writer.night() == null) {
      return;
    }
    if (!laid.now().equals(at)) {
      writer.write(new TraceEntry.At(laid.now()));
      at = laid.now();
    }
    writer.write(new TraceEntry.Happened(event));
    next = laid.number() + 1;
    if (writer.isFull()) {
      wanted = true;
    }
  }

  private void opens(TraceEntry entry, LocalDate in, long mine) throws IOException {
    if (failing && System.nanoTime() - retryNanos < 0) {
      return;
    }
    if (entry instanceof TraceEntry.Booted || !in.equals(writer.night()) || writer.isFull()) {
      writer.begin(in);
      if (failing) {
        LOG.info("the trace is written again");
      }
      failing = false;
    }
    writer.write(
        entry instanceof TraceEntry.Known known
            ? new TraceEntry.Known(mine, mine - next, known.state())
            : entry);
    at = null;
  }

  @Override
  public void close() {
    close(Duration.ofSeconds(1));
  }

  /**
   * Writes what waits and ends the thread.
   *
   * @param atMost how long it may take; a disk that hangs keeps nobody longer
   */
  public void close(Duration atMost) {
    synchronized (lock) {
      closing = true;
    }
    LockSupport.unpark(thread);
    try {
      thread.join(Math.max(1, atMost.toMillis()));
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
