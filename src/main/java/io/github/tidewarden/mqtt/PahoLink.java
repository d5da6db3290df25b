package io.github.tidewarden.mqtt;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.util.Collection;
import java.util.List;
import java.util.Set;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.ScheduledThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import javax.net.ssl.SSLSocketFactory;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.jspecify.annotations.Nullable;

/**
 * The link over the Paho MQTT 5 client.
 *
 * <p>One thread makes the attempts, looks at the deadlines and speaks to the listener; it runs on
 * the monotonic clock. Every attempt has a {@link Connection} of its own. Commands and notes go to
 * the library in the caller's thread, which the library never holds up.
 */
public final class PahoLink implements Link {
  private final LinkSettings settings;
  private final Inbox inbox;
  private final LinkTiming timing;
  private final SSLSocketFactory tls;
  private final ScheduledThreadPoolExecutor thread;

  private volatile @Nullable Connection connection;
  private volatile @Nullable LinkListener listener;
  private volatile boolean closing;

  private final Events events = new Events();

  // Only the adapter's thread touches these; attempts are counted since an echo last came back.
  private Identity identity = Identity.fresh();
  private int attempts;
  private long nextAttemptNanos;

  /**
   * Makes a link that does nothing before {@link #start}.
   *
   * @param settings where and as whom
   * @param inbox takes what arrives
   */
  public PahoLink(LinkSettings settings, Inbox inbox) {
    this(settings, inbox, LinkTiming.STANDARD, (SSLSocketFactory) SSLSocketFactory.getDefault());
  }

  PahoLink(LinkSettings settings, Inbox inbox, LinkTiming timing, SSLSocketFactory tls) {
    this.settings = settings;
    this.inbox = inbox;
    this.timing = timing;
    this.tls = tls;
    this.thread =
        new ScheduledThreadPoolExecutor(
            1,
            work -> {
              Thread made = new Thread(work, "link");
              made.setDaemon(true);
              return made;
            });
  }

  @Override
  @SuppressWarnings("FutureReturnValueIgnored") // guarded tells what is thrown
  public void start(LinkListener newListener) {
    if (listener != null) {
      throw new IllegalStateException("started before");
    }
    listener = newListener;
    nextAttemptNanos = System.nanoTime();
    post(this::watch);
    long every = LinkTiming.WATCH_EVERY.toMillis();
    thread.scheduleWithFixedDelay(guarded(this::watch), every, every, TimeUnit.MILLISECONDS);
  }

  @Override
  public boolean command(Command command) {
    Connection present = connection;
    return present != null && present.command(command);
  }

  @Override
  public boolean publish(Note note) {
    if (!settings.topics().owns(note.topic())) {
      throw new IllegalArgumentException("not a topic of the site's own: " + note.topic());
    }
    return say(Outgoing.note(note, System.nanoTime()));
  }

  @Override
  public boolean reply(
      @Nullable String responseTopic, byte @Nullable [] correlation, byte[] payload) {
    return responseTopic != null
        && settings.topics().mayAnswerOn(responseTopic)
        && say(Outgoing.answer(responseTopic, correlation, payload, System.nanoTime()));
  }

  private boolean say(Outgoing note) {
    Connection present = connection;
    return present != null && present.say(note);
  }

  @Override
  public void subscribe(Collection<String> topics) {
    Connection present = connection;
    if (present != null) {
      present.subscribe(topics);
    }
  }

  @Override
  public void close(Duration atMost) {
    long deadline = System.nanoTime() + atMost.toNanos();
    closing = true;
    Connection last = connection;
    try {
      if (last != null) {
        last.finish(deadline);
      }
      thread.shutdown();
      thread.awaitTermination(Math.max(0, deadline - System.nanoTime()), TimeUnit.NANOSECONDS);
    } catch (InterruptedException interrupted) {
      Thread.currentThread().interrupt();
    } finally {
      thread.shutdownNow();
      if (connection != null) {
        connection.abandon();
      }
    }
  }

  private void watch() {
    Connection present = connection;
    if (present != null) {
      present.watch();
    } else if (!closing && System.nanoTime() - nextAttemptNanos >= 0) {
      attempt();
    }
  }

  private void attempt() {
    nextAttemptNanos = System.nanoTime() + timing.pause(attempts).toNanos();
    attempts++;
    try {
      Line line = new Line(settings.broker(), tls, timing.connect());
      Connection next = new Connection(settings, timing, line, inbox, events, identity);
      connection = next;
      next.open();
    } catch (MqttException refused) {
      connection = null;
      tell(told -> told.down("not connected: " + Reason.of(refused)));
    }
  }

  private void ended(Connection which, String why, boolean taken, List<Command> unsure) {
    which.abandon();
    connection = null;
    nextAttemptNanos = System.nanoTime() + timing.pause(Math.max(0, attempts - 1)).toNanos();
    unsure.forEach(command -> tell(told -> told.lost(command, why)));
    if (taken && !identity.leaving()) {
      identity = identity.takenOver();
      tell(LinkListener::takenOver);
    }
    tell(told -> told.down(why));
  }

  /** Runs on the adapter's thread, in order; after the end, nowhere. */
  private void post(Runnable work) {
    try {
      thread.execute(guarded(work));
    } catch (RejectedExecutionException closed) {
      // Nobody listens any more, and close() has freed the socket.
    }
  }

  private Runnable guarded(Runnable work) {
    return () -> {
      try {
        work.run();
      } catch (Throwable thrown) {
        tell(told -> told.fault(thrown));
      }
    };
  }

  private void tell(Consumer<LinkListener> what) {
    LinkListener present = listener;
    if (present == null) {
      return;
    }
    try {
      what.accept(present);
    } catch (Throwable thrown) {
      present.fault(thrown);
    }
  }

  /** Brings what connections tell from their threads to the adapter's. */
  private final class Events implements Connection.Owner {
    @Override
    public void up() {
      post(() -> tell(LinkListener::up));
    }

    @Override
    public void refused(Set<String> filters, String why) {
      post(() -> tell(told -> told.refused(filters, why)));
    }

    @Override
    public void subscribed() {
      post(() -> tell(LinkListener::subscribed));
    }

    @Override
    public void alive() {
      post(
          () -> {
            attempts = 0;
            identity = identity.heard();
          });
    }

    @Override
    public void ended(Connection which, String why, boolean taken, List<Command> unsure) {
      post(() -> PahoLink.this.ended(which, why, taken, unsure));
    }

    @Override
    public void lost(Command command, String why) {
      post(() -> tell(told -> told.lost(command, why)));
    }

    @Override
    public void fault(Throwable thrown) {
      post(() -> tell(told -> told.fault(thrown)));
    }
  }
}
