package io.github.tidewarden.rehearsal;

import io.github.tidewarden.gate.Command;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.function.UnaryOperator;
import org.jspecify.annotations.Nullable;

/**
 * The network and the broker between daemon, sensors and devices, in virtual time. Sound, it
 * delivers every message within some milliseconds and in order; what can be wrong with it is
 * switched on.
 */
final class SimulatedBroker {

  /** Who is at its ends. */
  interface Ends {
    /** The daemon is handed a message. */
    void daemonHears(SiteRig.Message message, boolean retained);

    /** A device is handed a message. */
    void deviceHears(String topic, String payload);

    /** The daemon learns that it is connected. */
    void linkUp();

    /** The daemon learns that it is not. */
    void linkDown(String why);
  }

  private static final long LEAST_NANOS = TimeUnit.MILLISECONDS.toNanos(1);
  private static final long MOST_NANOS = TimeUnit.MILLISECONDS.toNanos(20);

  /** After how long a connection that has gone dumb is given up, by the echo of the real link. */
  static final long DUMB_NANOS = TimeUnit.SECONDS.toNanos(15);

  /** After how long the daemon is connected again. */
  private static final long AGAIN_NANOS = TimeUnit.SECONDS.toNanos(2);

  /** Old messages from which a replayed one is drawn. */
  private static final int MOST_REMEMBERED = 16;

  private final VirtualTime time;
  private final SplittableRandom random;
  private final Ends ends;
  private final Map<String, UnaryOperator<String>> mangled = new HashMap<>();
  private final Set<String> away = new HashSet<>();
  private final Map<String, SiteRig.Message> retained = new LinkedHashMap<>();
  private final List<SiteRig.Message> past = new ArrayList<>();
  private boolean up;
  private boolean dumb;
  private int connection;
  private long toDaemonNanos;
  private long toDevicesNanos;
  private long extraNanos;
  private double dropped;
  private double doubled;
  private double replayed;
  private boolean reorders;

  SimulatedBroker(VirtualTime time, SplittableRandom random, Ends ends) {
    this.time = time;
    this.random = random;
    this.ends = ends;
  }

  // What can be wrong with it.

  /** Every message takes this much longer. */
  void slow(long nanos) {
    extraNanos = nanos;
  }

  /** These shares of what is sent to the daemon are lost, come twice, or are old ones again. */
  void unreliable(double lost, double twice, double again) {
    dropped = lost;
    doubled = twice;
    replayed = again;
  }

  /** Messages to the daemon may pass each other. */
  void reorders(boolean may) {
    reorders = may;
  }

  /** What is said on a topic comes as something else; null for sound again. */
  void mangle(String topic, @Nullable UnaryOperator<String> how) {
    if (how == null) {
      mangled.remove(topic);
    } else {
      mangled.put(topic, how);
    }
  }

  /** The device on a topic has left the network, or is back. */
  void away(String topic, boolean gone) {
    if (gone) {
      away.add(topic);
    } else {
      away.remove(topic);
    }
  }

  /** What is said on a topic last is handed to whoever subscribes, marked as retained. */
  void retain(SiteRig.Message message) {
    retained.put(message.topic(), message);
  }

  /** Nothing goes either way, and neither end is told. */
  void dumb(boolean says) {
    dumb = says;
    int of = connection;
    if (says) {
      time.in(
          DUMB_NANOS,
          () -> {
            if (dumb && of == connection) {
              lose("nothing came back");
            }
          });
    } else if (!up) {
      connect();
    }
  }

  /** The broker is gone. */
  void lose(String why) {
    if (up) {
      up = false;
      connection++;
      ends.linkDown(why);
    }
  }

  /** The broker is there: the daemon connects, unless it is connected. */
  void connect() {
    int of = ++connection;
    time.in(
        AGAIN_NANOS + latency(),
        () -> {
          if (of == connection && !dumb) {
            up = true;
            ends.linkUp();
            retained.values().forEach(message -> ends.daemonHears(message, true));
          }
        });
  }

  /** The daemon is gone, and its connection with it. */
  void forget() {
    up = false;
    connection++;
  }

  // What goes through it.

  /** A sensor or device says something. */
  void toDaemon(SiteRig.Message message) {
    if (!up || dumb || random(dropped)) {
      return;
    }
    UnaryOperator<String> how = mangled.get(message.topic());
    SiteRig.Message said =
        how == null ? message : new SiteRig.Message(message.topic(), how.apply(message.payload()));
    hands(said);
    if (random(doubled)) {
      hands(said);
    }
    if (replayed > 0) {
      if (random(replayed) && !past.isEmpty()) {
        hands(past.get(random.nextInt(past.size())));
      }
      if (past.size() == MOST_REMEMBERED) {
        past.remove(random.nextInt(past.size()));
      }
      past.add(said);
    }
  }

  private void hands(SiteRig.Message message) {
    int of = connection;
    long at = time.nowNanos() + latency();
    if (!reorders) {
      toDaemonNanos = Math.max(toDaemonNanos, at);
      at = toDaemonNanos;
    } else {
      at += random.nextLong(TimeUnit.SECONDS.toNanos(3));
    }
    time.at(
        at,
        () -> {
          if (of == connection) {
            ends.daemonHears(message, false);
          }
        });
  }

  /**
   * The daemon sends a command; a run that is under way for longer than its expiry is dropped.
   *
   * @return whether it reached the broker; one for a device that is away is lost there
   */
  boolean toDevice(Command command) {
    if (!up || dumb) {
      return false;
    }
    toDevicesNanos = Math.max(toDevicesNanos, time.nowNanos() + latency());
    boolean expires =
        command.runs()
            && toDevicesNanos - time.nowNanos()
                >= TimeUnit.SECONDS.toNanos(command.expirySeconds());
    if (!expires && !away.contains(command.topic())) {
      time.at(toDevicesNanos, () -> ends.deviceHears(command.topic(), command.payload()));
    }
    return true;
  }

  /** Whether the daemon is connected. */
  boolean isUp() {
    return up;
  }

  private boolean random(double share) {
    return share > 0 && random.nextDouble() < share;
  }

  private long latency() {
    return random.nextLong(LEAST_NANOS, MOST_NANOS) + extraNanos;
  }
}
