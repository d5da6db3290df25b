package io.github.tidewarden.daemon;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.audit.AuditThread;
import io.github.tidewarden.audit.Head;
import io.github.tidewarden.audit.Trace;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Request;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.mqtt.Delivery;
import io.github.tidewarden.mqtt.Inbox;
import io.github.tidewarden.mqtt.Link;
import io.github.tidewarden.mqtt.Note;
import io.github.tidewarden.mqtt.SiteTopics;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.ClockEvent;
import io.github.tidewarden.schedule.ClockWatch;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.sensing.Reading;
import java.time.ZoneId;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * The one thread that owns all state. It feeds the core with what arrived and carries out its
 * effects in order; it never waits for a disk or a socket.
 */
final class ControlLoop implements Runnable {

  /** A cycle that comes this late means that the program stood still. */
  static final long STANDSTILL_NANOS = TimeUnit.SECONDS.toNanos(3);

  /** Requests whose answer may be outstanding at once. */
  private static final int MOST_REQUESTS = 256;

  private static final Logger LOG = LoggerFactory.getLogger(ControlLoop.class);
  private static final ObjectMapper JSON = new ObjectMapper();

  /** What other threads have to say. */
  sealed interface Letter {
    /** An event for the core. */
    record Happened(Event event) implements Letter {}

    /** Every topic is subscribed. */
    record Subscribed() implements Letter {}

    /** The end of the audit's chain. */
    record HeadMoved(Head head) implements Letter {}

    /** A request that was turned away before it was queued. */
    record TurnedAway(Delivery delivery) implements Letter {}

    /** Stop in good order. */
    record Stop(String why, Exit exit) implements Letter {}
  }

  private final Site site;
  private final SiteTopics topics;
  private final ZoneId zone;
  private final Clocks clocks;
  private final Inbox inbox;
  private final Mailbox<Letter> mailbox;
  private final Link link;
  private final AuditThread audit;
  private final Trace trace;
  private final Wakes wakes;
  private final Watcher watcher;
  private final boolean watchOnly;
  private final CountDownLatch ended = new CountDownLatch(1);
  private final Map<Long, Delivery> requests = new LinkedHashMap<>();

  private SiteState state;
  private ClockWatch clock;
  private Moment now;
  private long wakeNanos;
  private long lastCycleNanos;
  private boolean stopping;
  private volatile Exit exit = Exit.OK;

  /** Everything that the loop is wired to. */
  record Wiring(
      Site site,
      SiteTopics topics,
      ZoneId zone,
      Clocks clocks,
      Inbox inbox,
      Mailbox<Letter> mailbox,
      Link link,
      AuditThread audit,
      Trace trace,
      Wakes wakes,
      Watcher watcher,
      boolean watchOnly) {}

  ControlLoop(Wiring wiring, ClockWatch.Observation first, Site.Result booted) {
    site = wiring.site();
    topics = wiring.topics();
    zone = wiring.zone();
    clocks = wiring.clocks();
    inbox = wiring.inbox();
    mailbox = wiring.mailbox();
    link = wiring.link();
    audit = wiring.audit();
    trace = wiring.trace();
    wakes = wiring.wakes();
    watcher = wiring.watcher();
    watchOnly = wiring.watchOnly();
    clock = first.watch();
    now = first.now();
    lastCycleNanos = now.monoNanos();
    state = booted.state();
    carryOut(booted);
    ClockEvent event = first.event();
    if (event != null) {
      clockChanged(event);
    }
  }

  @Override
  public void run() {
    try {
      while (!stopping) {
        cycle(mailbox.await(Math.max(0, wakeNanos - System.nanoTime())));
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      exit = Exit.SOFTWARE;
    } catch (RuntimeException | Error e) {
      LOG.error("the control loop failed; the devices drop out by themselves", e);
      exit = Exit.SOFTWARE;
    } finally {
      ended.countDown();
    }
  }

  /** Waits for the end; how it ended. */
  Exit awaitEnd() throws InterruptedException {
    ended.await();
    return exit;
  }

  /** Waits at most so long for the end; whether it came. */
  boolean awaitEnd(long millis) throws InterruptedException {
    return ended.await(millis, TimeUnit.MILLISECONDS);
  }

  private void cycle(List<Letter> letters) {
    // What has arrived is taken before the clocks are read, so that nothing is from the future.
    Inbox.Batch batch = inbox.drain();
    ClockWatch.Observation observed = clock.observe(clocks.sample());
    clock = observed.watch();
    now = observed.now();
    long gap = now.since(lastCycleNanos);
    lastCycleNanos = now.monoNanos();
    if (gap > STANDSTILL_NANOS) {
      step(new Event.Stalled(gap));
    }
    ClockEvent event = observed.event();
    if (event != null) {
      clockChanged(event);
    }
    for (Letter letter : letters) {
      read(letter);
    }
    batch.deliveries().forEach(this::deliver);
    batch.overflowed().forEach(topic -> step(new Event.Lost(topic))); // what was lost was younger
    if (!stopping && now.since(wakeNanos) >= 0) {
      step(new Event.Tick());
    }
  }

  private void read(Letter letter) {
    if (letter instanceof Letter.Happened happened) {
      step(happened.event());
      if (happened.event() instanceof Event.LinkUp) {
        Set<String> wanted = new LinkedHashSet<>(site.topics());
        wanted.add(topics.operate());
        link.subscribe(wanted);
      }
    } else if (letter instanceof Letter.Subscribed) {
      LOG.info("listening to {} topics", site.topics().size());
    } else if (letter instanceof Letter.HeadMoved moved) {
      Map<String, Object> content = new LinkedHashMap<>();
      content.put("seq", moved.head().seq());
      content.put("hash", moved.head().hash());
      tell(topics.auditHead(), content);
    } else if (letter instanceof Letter.TurnedAway away) {
      turnAway(away.delivery());
    } else if (letter instanceof Letter.Stop stop) {
      exit = stop.exit();
      step(new Event.Stopping(stop.why()));
      stopping = true;
    }
  }

  private void deliver(Delivery delivery) {
    if (delivery.topic().equals(topics.operate())) {
      if (requests.size() >= MOST_REQUESTS) {
        turnAway(delivery);
        return;
      }
      requests.put(delivery.number(), delivery);
      step(new Event.Asked(new Request(delivery.number(), delivery.payload())));
      return;
    }
    Moment arrival = new Moment(delivery.wall(), delivery.monoNanos(), now.trusted());
    step(
        new Event.Heard(
            new Reading(
                delivery.number(),
                delivery.topic(),
                delivery.payload(),
                delivery.retained(),
                arrival)));
  }

  /** The core records that a request is not done, and answers it in the same step. */
  private void turnAway(Delivery delivery) {
    String why =
        delivery.retained()
            ? "a retained request is never done"
            : delivery.payload().length > Inbox.LARGEST_PAYLOAD
                ? "the request is too large"
                : "too many requests wait already";
    requests.put(delivery.number(), delivery);
    step(new Event.TurnedAway(new Request(delivery.number(), delivery.payload()), why));
  }

  private void clockChanged(ClockEvent event) {
    String what =
        switch (event.kind()) {
          case GAINED -> "the wall clock is trusted";
          case STEPPED ->
              "the wall clock was stepped by " + event.stepMillis() + " ms and is not trusted";
        };
    step(new Event.ClockChanged(what));
    wakes.rebuild(now);
  }

  private void step(Event event) {
    trace.happens(state, event, now);
    Site.Result result = site.step(state, event, now);
    state = result.state();
    carryOut(result);
  }

  private void carryOut(Site.Result result) {
    wakeNanos = result.wakeNanos();
    for (Effect effect : result.effects()) {
      if (effect instanceof Effect.Send send) {
        send(send.command());
      } else if (effect instanceof Effect.Write write) {
        watcher.record(write.record());
        audit.submit(
            write.ticket(),
            write.record(),
            Nights.nightOf(write.record().at(), zone),
            write.permits());
      } else if (effect instanceof Effect.Tell tell) {
        tell(topics.below(tell.topic()), tell.content());
      } else if (effect instanceof Effect.Answer answer) {
        Delivery asked = requests.remove(answer.request());
        if (asked != null) {
          answer(asked, answer.done(), answer.what());
        }
      }
    }
  }

  private void send(Command command) {
    watcher.command(command);
    if (!link.command(command) && command.runs()) {
      mailbox.post(
          new Letter.Happened(new Event.Undelivered(command.tank(), "the link did not take it")));
    }
  }

  private void tell(String topic, Map<String, Object> content) {
    byte[] payload = content.isEmpty() ? new byte[0] : json(marked(content));
    if (!link.publish(new Note(topic, payload, true))) {
      LOG.debug("not told: {}", topic);
    }
  }

  /** What a daemon tells that commands nothing is not to be taken for what the devices do. */
  private Map<String, Object> marked(Map<String, Object> content) {
    if (!watchOnly) {
      return content;
    }
    Map<String, Object> marked = new LinkedHashMap<>();
    marked.put("watch-only", true);
    marked.putAll(content);
    return marked;
  }

  private void answer(Delivery asked, boolean done, String what) {
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("done", done);
    content.put("what", what);
    if (!link.reply(asked.responseTopic(), asked.correlation(), json(content))) {
      LOG.debug("a request went without an answer");
    }
  }

  private static byte[] json(Map<String, Object> content) {
    try {
      return JSON.writeValueAsBytes(content);
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("a text that cannot be written", e);
    }
  }
}
