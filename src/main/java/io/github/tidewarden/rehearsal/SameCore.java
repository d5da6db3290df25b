package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.TraceEntry;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.quantity.Moment;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/** The core under the configuration of the night, given all that it was given then. */
final class SameCore {

  /**
   * Inputs without a gap between them.
   *
   * @see Replay
   */
  static final class Stretch {
    final String boot;
    final boolean afterGap;
    final Moment from;
    Moment to;
    long inputs;
    boolean stopped;

    /** Every record made, in order. */
    final List<AuditRecord> made = new ArrayList<>();

    /** Of these, what is not known to have got to the disk. */
    final List<AuditRecord> unanswered = new ArrayList<>();

    Stretch(String boot, boolean afterGap, Moment from) {
      this.boot = boot;
      this.afterGap = afterGap;
      this.from = from;
      to = from;
    }
  }

  private final Site site;
  private final Tale tale;
  private final List<Stretch> stretches = new ArrayList<>();
  private final Map<Long, AuditRecord> permits = new HashMap<>();
  private @Nullable Stretch stretch;
  private @Nullable SiteState state;
  private @Nullable SiteState anew;
  private boolean gap;

  SameCore(SiteSpec spec, Tale tale) {
    site = new Site(spec);
    this.tale = tale;
  }

  List<Stretch> stretches() {
    return stretches;
  }

  /** Null before anything is known. */
  @Nullable SiteState state() {
    return anew != null ? anew : state;
  }

  /** Goes on from a state; a stretch begins with the next event. */
  void knows(SiteState known, boolean afterGap) {
    end();
    anew = known;
    gap = afterGap;
  }

  /** What follows is not known. */
  void end() {
    if (stretch != null) {
      stretch.unanswered.addAll(permits.values());
      tale.ends(stretch.to);
    }
    permits.clear();
    stretch = null;
    state = null;
  }

  List<Effect> boots(TraceEntry.Booted boot) {
    end();
    anew = null;
    begins(boot.boot(), false, boot.now());
    return took(
        site.boot(
            boot.memory(), boot.boot(), boot.recovery(), boot.readable(), boot.start(), boot.now()),
        boot.now());
  }

  private Stretch begins(String boot, boolean afterGap, Moment now) {
    Stretch begun = new Stretch(boot, afterGap, now);
    stretches.add(begun);
    stretch = begun;
    return begun;
  }

  /** The next event; empty when the state before it is not known. */
  List<Effect> takes(Event event, Moment now) {
    if (anew != null) {
      state = anew;
      anew = null;
      begins(state.remembered().boot(), gap, now);
    }
    Stretch present = stretch;
    SiteState before = state;
    if (present == null || before == null) {
      return List.of();
    }
    present.inputs++;
    present.to = now;
    present.stopped = event instanceof Event.Stopping;
    if (event instanceof Event.Synced synced) {
      AuditRecord durable = permits.remove(synced.ticket());
      if (durable != null) {
        tale.recorded(durable);
      }
    } else if (event instanceof Event.Unwritten unwritten) {
      AuditRecord lost = permits.remove(unwritten.ticket());
      if (lost != null) {
        present.made.remove(lost);
      }
    }
    return took(site.step(before, event, now), now);
  }

  private List<Effect> took(Site.Result result, Moment now) {
    state = result.state();
    tale.decided(result.effects(), now);
    for (Effect effect : result.effects()) {
      if (effect instanceof Effect.Write write && stretch != null) {
        stretch.made.add(write.record());
        if (write.permits()) {
          permits.put(write.ticket(), write.record());
        }
      }
    }
    return result.effects();
  }
}
