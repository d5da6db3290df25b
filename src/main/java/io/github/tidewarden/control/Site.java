package io.github.tidewarden.control;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.sensing.ByName;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * The whole core: hands each event to the tanks that it concerns and gathers what they want done. A
 * tank whose step fails is put to rest and latched; the others go on. Pure and deterministic: the
 * same state, event and moment give the same effects.
 */
public final class Site {

  /** At most so many refused requests are recorded in a minute; the others are only answered. */
  static final int MOST_REFUSALS = 20;

  /**
   * At most so many acts are taken on in a minute. With {@link #MOST_REFUSALS} few enough that
   * {@link SiteMemory#MOST_REQUESTS} covers the time in which a request may be replayed.
   */
  static final int MOST_ACTS = 60;

  /** At most so many acts wait for the disk. */
  static final int MOST_WAITING = 16;

  private static final long MINUTE_NANOS = TimeUnit.MINUTES.toNanos(1);

  private final SiteSpec spec;
  private final Map<String, Tank> tanks = new LinkedHashMap<>();
  private final Map<Tank, Sharing.Group> groups;
  private final List<Tank> inOrder;
  private final ByName.Names names;
  private final Map<String, List<Tank>> byTopic = new HashMap<>();
  private final int participants;

  /** The core for one configuration. */
  public Site(SiteSpec spec) {
    this.spec = spec;
    participants = spec.tanks().size() + 1;
    for (int index = 0; index < spec.tanks().size(); index++) {
      TankSpec tankSpec = spec.tanks().get(index);
      Tank tank = new Tank(tankSpec, spec.zone(), spec.hardLimits(), index, participants);
      tanks.put(tankSpec.name(), tank);
      tank.topics()
          .forEach(topic -> byTopic.computeIfAbsent(topic, t -> new ArrayList<>()).add(tank));
    }
    inOrder = List.copyOf(tanks.values());
    names = new ByName.Names(tanks.keySet());
    groups = Sharing.groups(inOrder);
  }

  /**
   * What one step gave.
   *
   * @param state to be handed in again
   * @param effects what the shell is to do; all commands first
   * @param wakeNanos when the core wants to be asked again at the latest, monotonic
   */
  public record Result(SiteState state, List<Effect> effects, long wakeNanos) {}

  /** Topics that the core listens to. */
  public Set<String> topics() {
    return new TreeSet<>(byTopic.keySet());
  }

  /**
   * The first step after a start.
   *
   * @param recovered what was read back from the audit
   * @param boot names this boot of the machine
   * @param recovery what had to be mended in the audit, in the keeper's words; empty for nothing
   * @param readable whether the past could be read back; if not, every tank starts latched
   * @param start further fields of the start record: version, zone data, configuration
   * @param now both clocks
   */
  public Result boot(
      SiteMemory recovered,
      String boot,
      String recovery,
      boolean readable,
      Map<String, Object> start,
      Moment now) {
    List<Effect> effects = new ArrayList<>();
    SiteMemory memory = recovered.knowing(spec.tanks());
    if (!recovery.isEmpty() || !readable) {
      Map<String, Object> found = new LinkedHashMap<>();
      found.put(Fields.NIGHT, Nights.nightOf(now.wall(), spec.zone()).toString());
      found.put(Fields.LATCHED, !readable);
      found.put(Fields.BOOT, boot);
      AuditRecord record = AuditRecord.of(now, "", Kind.RECOVERED, recovery, found);
      memory = memory.apply(record);
      effects.add(new Effect.Write(record, 0));
    }
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.BOOT, boot);
    fields.putAll(start);
    AuditRecord record = AuditRecord.of(now, "", Kind.START, "the daemon started", fields);
    effects.add(new Effect.Write(record, 0));
    SiteMemory started = latchedIfRenamed(recovered, memory.apply(record), now, effects);
    Map<String, TankState> states = new TreeMap<>();
    tanks.forEach(
        (name, tank) ->
            states.put(name, tank.boot(started.tank(name), boot, recovered.lastSeen(), now)));
    return new Result(
        new SiteState(started.without(tanks.keySet()), states, Map.of(), 0, 0, 0, now.monoNanos()),
        effects,
        now.monoNanos());
  }

  /**
   * A tank without a past, while one that was latched or has spent something is gone: it may be the
   * same under another name, and a new name must not release what the old one had.
   */
  private SiteMemory latchedIfRenamed(
      SiteMemory recovered, SiteMemory started, Moment now, List<Effect> effects) {
    List<String> gone =
        recovered.tanks().keySet().stream()
            .filter(name -> !tanks.containsKey(name))
            .filter(name -> recovered.tank(name).holds(started.boot(), now))
            .toList();
    SiteMemory memory = started;
    for (String name : gone.isEmpty() ? List.<String>of() : List.copyOf(tanks.keySet())) {
      if (!recovered.tanks().containsKey(name)) {
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put(Fields.NIGHT, Nights.nightOf(now.wall(), spec.zone()).toString());
        fields.put(Fields.NAME, TankMemory.NEW_NAME);
        fields.put(Fields.LATCHED, true);
        AuditRecord record =
            AuditRecord.of(
                now,
                name,
                Kind.LATCHED,
                name
                    + " is new while "
                    + String.join(", ", gone)
                    + ", with latches or time spent, is gone; if it was renamed, see to what was"
                    + " latched before the reset",
                fields);
        memory = memory.apply(record);
        effects.add(new Effect.Write(record, 0));
      }
    }
    return memory;
  }

  /** One step. */
  public Result step(SiteState state, Event event, Moment now) {
    Step step = new Step(state, now);
    if (event instanceof Event.Heard heard) {
      step.to(byTopic.getOrDefault(heard.reading().topic(), List.of()), event);
    } else if (event instanceof Event.Lost lost) {
      step.to(byTopic.getOrDefault(lost.topic(), List.of()), event);
    } else if (event instanceof Event.Refused refused) {
      step.refused(refused);
    } else if (event instanceof Event.Undelivered undelivered) {
      Tank tank = tanks.get(undelivered.tank());
      step.to(tank == null ? List.of() : List.of(tank), event);
    } else if (event instanceof Event.Asked asked) {
      step.asked(asked.request());
    } else if (event instanceof Event.TurnedAway away) {
      step.turnedAway(away);
    } else if (event instanceof Event.Synced synced) {
      step.synced(synced);
    } else if (event instanceof Event.Unwritten unwritten) {
      step.unwritten(unwritten);
    } else if (event instanceof Event.Tick) {
      step.passes(event);
    } else {
      step.all(event);
    }
    return step.result();
  }

  /** One step of the site while it is being taken. */
  private final class Step {
    private final Moment now;
    private Tanks states;
    private Map<Long, SiteState.PendingAct> acts;
    private final List<Effect> sends = new ArrayList<>();
    private final List<Effect> others = new ArrayList<>();
    private SiteMemory memory;
    private long lastTicket;
    private int acted;
    private int refusals;
    private long minuteNanos;

    Step(SiteState state, Moment now) {
      this.now = now;
      states = Tanks.of(names, state.tanks());
      acts = state.acts();
      memory = state.memory();
      lastTicket = state.lastTicket();
      acted = state.acted();
      refusals = state.refusals();
      minuteNanos = state.minuteNanos();
    }

    Result result() {
      sends.addAll(others);
      return new Result(
          new SiteState(memory, states, acts, lastTicket, acted, refusals, minuteNanos),
          sends,
          wakeNanos());
    }

    /** The first moment at which any tank wants to be asked again. */
    private long wakeNanos() {
      long sleep = Math.min(Turn.LONGEST_SLEEP_NANOS, states.wakeNanos() - now.monoNanos());
      return now.monoNanos() + Math.max(0, sleep);
    }

    void to(List<Tank> concerned, Event event) {
      for (Tank tank : concerned) {
        TankState state = state(tank);
        Tank.Result result;
        try {
          result = tank.step(state, event, around(tank), now);
        } catch (RuntimeException | AssertionError | StackOverflowError e) {
          result = tank.fault(state, event, now, e.toString());
          TankState.Pending waiting = state.pending();
          memory = waiting == null ? memory : memory.noted(waiting.record());
        }
        states = states.with(tank.spec.name(), result.state());
        result.effects().forEach(this::take);
      }
    }

    private Surroundings around(Tank tank) {
      return new Sharing(groups, states, now).of(tank, bin(tank));
    }

    private BinMemory bin(Tank tank) {
      ExchangeSpec exchange = tank.spec.exchange();
      return exchange == null ? BinMemory.BLANK : memory.bin(exchange.bin().name());
    }

    private TankState state(Tank tank) {
      return Objects.requireNonNull(states.get(tank.spec.name()));
    }

    private void take(Effect effect) {
      if (effect instanceof Effect.Send) {
        sends.add(effect);
        return;
      }
      others.add(effect);
      if (effect instanceof Effect.Write write && !write.permits()) {
        memory = memory.noted(write.record());
      }
    }

    /** Told once, for the keeper; then each tank that wants one of the topics hears of it. */
    void refused(Event.Refused refused) {
      Map<String, Object> fields = new LinkedHashMap<>();
      fields.put("topics", List.copyOf(refused.topics()));
      fields.put("code", refused.why());
      write(
          Kind.NOTICE,
          "the broker does not let these topics be heard: " + String.join(", ", refused.topics()),
          fields);
      to(
          refused.topics().stream()
              .flatMap(topic -> byTopic.getOrDefault(topic, List.of()).stream())
              .distinct()
              .toList(),
          refused);
    }

    /**
     * Time has passed, for each tank that wants to be asked again by now, and for those that soon
     * would: so that tanks keep step, and a site at rest is asked once a second and not once for
     * each of them.
     */
    void passes(Event tick) {
      if (now.since(states.wakeNanos()) < 0) {
        return;
      }
      List<Tank> due = new ArrayList<>();
      for (Tank tank : inOrder) {
        if (now.since(state(tank).wakeNanos()) >= -Turn.LONGEST_SLEEP_NANOS / 2) {
          due.add(tank);
        }
      }
      to(due, tick);
    }

    /** An event for everyone; the site's own record of it comes first. */
    void all(Event event) {
      if (event instanceof Event.LinkUp) {
        write(Kind.LINK, "the broker is reached", Map.of("up", true));
        others.add(new Effect.Tell("status", status(true, "")));
      } else if (event instanceof Event.LinkDown down) {
        write(Kind.LINK, "the broker is lost: " + down.why(), Map.of("up", false));
      } else if (event instanceof Event.ClockChanged clock) {
        write(Kind.CLOCK, clock.what(), Map.of());
        others.add(new Effect.Tell("status", status(true, "")));
      } else if (event instanceof Event.Stalled stalled) {
        write(
            Kind.NOTICE,
            "the program stood still for " + TimeUnit.NANOSECONDS.toMillis(stalled.nanos()) + " ms",
            Map.of());
      }
      to(inOrder, event);
      if (event instanceof Event.Stopping stopping) {
        inOrder.forEach(
            tank -> tank.gate.restAll().forEach(rest -> sends.add(new Effect.Send(rest))));
        write(Kind.STOP, stopping.why(), Map.of());
        others.add(new Effect.Tell("status", status(false, stopping.why())));
      }
    }

    private Map<String, Object> status(boolean online, String why) {
      Map<String, Object> content = new LinkedHashMap<>();
      content.put("online", online);
      content.put("at", Figures.recordTime(now.wall()));
      content.put("clock", now.trusted() ? "trusted" : "untrusted");
      if (!why.isEmpty()) {
        content.put("why", why);
      }
      return content;
    }

    private void write(Kind kind, String why, Map<String, Object> fields) {
      take(new Effect.Write(AuditRecord.of(now, "", kind, why, fields), 0));
    }

    // Keeper's acts.

    void turnedAway(Event.TurnedAway away) {
      beginMinute();
      KeeperAct act = KeeperAct.read(away.request().payload());
      refuse(away.request(), act == null ? "" : act.by(), act == null ? "" : act.id(), away.why());
    }

    void asked(Request request) {
      beginMinute();
      KeeperAct act = KeeperAct.read(request.payload());
      if (act == null) {
        refuse(request, "", "", "it is not one JSON object within bounds");
        return;
      }
      String flaw = flaw(act);
      if (flaw != null) {
        refuse(request, act.by(), act.id(), flaw);
        return;
      }
      Tank tank = Objects.requireNonNull(tanks.get(act.tank()));
      Deed deed;
      Deed.Recorded recorded;
      try {
        deed = Deed.read(act);
        recorded = deed.judge(new Deed.Place(tank, state(tank), bin(tank), now));
      } catch (Deed.RefusedException e) {
        refuse(request, act.by(), act.id(), e.why());
        return;
      } catch (RuntimeException | AssertionError | StackOverflowError e) {
        // What nobody thought of is refused; it must not end the control of every tank.
        refuse(request, act.by(), act.id(), "it cannot be judged: " + e);
        return;
      }
      acted++;
      AuditRecord record = record(act, recorded);
      if (deed.onlyForbids()) {
        take(new Effect.Write(record, 0));
        done(tank, record, request.number());
        return;
      }
      lastTicket = lastTicket == 0 ? participants : lastTicket + participants;
      acts = new TreeMap<>(acts);
      acts.put(lastTicket, new SiteState.PendingAct(request.number(), record));
      others.add(new Effect.Write(record, lastTicket));
      memory = memory.taking(act.id());
    }

    private AuditRecord record(KeeperAct act, Deed.Recorded deed) {
      Map<String, Object> fields = new LinkedHashMap<>();
      fields.put(Fields.NIGHT, Nights.nightOf(now.wall(), spec.zone()).toString());
      fields.put(Fields.ACT, act.act());
      fields.put(Fields.NAME, deed.name());
      fields.put("text", deed.text());
      fields.put(Fields.BY, act.by());
      fields.put(KeeperAct.ID, act.id());
      fields.putAll(deed.fields());
      return AuditRecord.of(now, act.tank(), Kind.ACT, act.by() + " " + deed.told(), fields);
    }

    private void beginMinute() {
      if (now.since(minuteNanos) >= MINUTE_NANOS) {
        acted = 0;
        refusals = 0;
        minuteNanos = now.monoNanos();
      }
    }

    private @Nullable String flaw(KeeperAct act) {
      String flaw = act.flaw(now, memory.requests());
      if (flaw != null) {
        return flaw;
      }
      if (acted >= MOST_ACTS || acts.size() >= MOST_WAITING) {
        return "too many requests at once; ask again in a minute";
      }
      return tanks.containsKey(act.tank()) ? null : Requests.noTank(act.tank());
    }

    private void refuse(Request request, String by, String id, String why) {
      others.add(new Effect.Answer(request.number(), false, why));
      refusals++;
      if (refusals <= MOST_REFUSALS) {
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put(Fields.BY, by);
        fields.put(KeeperAct.ID, id);
        write(Kind.ACT_REFUSED, why, fields);
      }
    }

    void synced(Event.Synced synced) {
      SiteState.PendingAct act = takenOff(synced.ticket());
      if (act == null) {
        for (Tank tank : owner(synced.ticket())) {
          TankState.Pending waiting = state(tank).pending();
          if (waiting != null && waiting.ticket() == synced.ticket()) {
            memory = memory.noted(waiting.record());
          }
        }
        to(owner(synced.ticket()), synced);
        return;
      }
      memory = memory.noted(act.record());
      done(Objects.requireNonNull(tanks.get(act.record().tank())), act.record(), act.request());
    }

    /** An act takes effect. */
    private void done(Tank tank, AuditRecord record, long request) {
      states = states.with(tank.spec.name(), tank.acted(state(tank), record, now));
      others.add(new Effect.Answer(request, true, record.why()));
      if (Deed.RESET.equals(record.fields().get(Fields.ACT))) {
        tellReset(tank, new Fields(record.fields()).text(Fields.NAME));
      }
      to(List.of(tank), new Event.Tick());
    }

    /** A trip may stand on, though it is latched no more. */
    private void tellReset(Tank tank, String name) {
      Map<String, Object> content = new LinkedHashMap<>();
      String why = state(tank).story().trips().get(name);
      if (why != null) {
        content.put("at", Figures.recordTime(now.wall()));
        content.put("why", why);
        content.put(Fields.LATCHED, false);
      }
      others.add(new Effect.Tell(tank.spec.name() + "/trip/" + name, content));
    }

    void unwritten(Event.Unwritten unwritten) {
      SiteState.PendingAct act = takenOff(unwritten.ticket());
      if (act == null) {
        to(owner(unwritten.ticket()), unwritten);
        return;
      }
      memory = memory.forgetting(new Fields(act.record().fields()).text(KeeperAct.ID));
      others.add(
          new Effect.Answer(act.request(), false, "it could not be recorded: " + unwritten.why()));
    }

    /** The act that waited for this ticket and does no more; null for none. */
    private SiteState.@Nullable PendingAct takenOff(long ticket) {
      SiteState.PendingAct act = acts.get(ticket);
      if (act != null) {
        acts = new TreeMap<>(acts);
        acts.remove(ticket);
      }
      return act;
    }

    /** Whose ticket it is, see {@link Tank#ticketAfter}. */
    private List<Tank> owner(long ticket) {
      long index = (ticket - 1) % participants;
      return ticket > 0 && index < inOrder.size() ? List.of(inOrder.get((int) index)) : List.of();
    }
  }
}
