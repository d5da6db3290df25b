package io.github.tidewarden.control;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;

/**
 * Nights that the real core recorded on the bench, for those who read records. Each is one tank,
 * {@code lagoon}, with one window from 01:30 to 03:00 in Lisbon, the night of 14 January 2026 if
 * not said otherwise.
 */
public final class RecordedNights {
  private final NightBench bench;
  private long requests;

  /** A bench one hour before the window of 15 January, connected. */
  public RecordedNights() {
    this(NightBench.WINDOW_OPENS);
  }

  /** A bench one hour before a window opens, connected. */
  public RecordedNights(Instant windowOpens) {
    bench = new NightBench(Specs.site(Specs.lagoon()), windowOpens.minusSeconds(3600));
    bench.connect();
  }

  /** What the core needs to know of the site. */
  public static SiteSpec site() {
    return Specs.site(Specs.lagoon());
  }

  /** Everything recorded so far. */
  public List<AuditRecord> records() {
    return List.copyOf(bench.records);
  }

  /** What the core holds true now. */
  public SiteMemory memory() {
    return bench.state.remembered();
  }

  /** Time passes without a reading until {@code instant}; then one tick. */
  public RecordedNights until(String instant) {
    bench.passes(Duration.between(bench.wall, Instant.parse(instant)));
    tick();
    return this;
  }

  /** All sensors and the device answer at 1 Hz for some seconds. */
  public RecordedNights steady(int seconds, double redoxA, double redoxB) {
    bench.steady(seconds, redoxA, redoxB);
    return this;
  }

  /** As {@link #steady}, redox rising or falling evenly from one value to another. */
  public RecordedNights ramp(int seconds, double from, double to) {
    for (int second = 0; second < seconds; second++) {
      double redox = from + (to - from) * second / seconds;
      bench.steady(1, redox, redox + 3);
    }
    return this;
  }

  /** As {@link #steady}, but the air flow is {@code air} and one probe may be mute. */
  public RecordedNights odd(int seconds, double redox, double air, boolean muteB) {
    for (int second = 0; second < seconds; second++) {
      bench.hear("lab/lagoon/redox/a", Double.toString(redox));
      if (!muteB) {
        bench.hear("lab/lagoon/redox/b", "{\"mv\":" + (redox + 3) + "}");
      }
      bench.hear("lab/lagoon/air", Double.toString(air));
      bench.hear("lab/gallery/ozone", "3");
      bench.deviceAnswers();
      bench.passes(Duration.ofSeconds(1));
      tick();
    }
    return this;
  }

  /** As {@link #odd}, with ozone in the room's air, ppb. */
  public RecordedNights foul(int seconds, double redox, double air, double roomOzone) {
    for (int second = 0; second < seconds; second++) {
      bench.hear("lab/lagoon/redox/a", Double.toString(redox));
      bench.hear("lab/lagoon/redox/b", "{\"mv\":" + (redox + 3) + "}");
      bench.hear("lab/lagoon/air", Double.toString(air));
      bench.hear("lab/gallery/ozone", Double.toString(roomOzone));
      bench.deviceAnswers();
      bench.passes(Duration.ofSeconds(1));
      tick();
    }
    return this;
  }

  /** The device says nothing from here on. */
  public RecordedNights muteDevice(int seconds, double redox) {
    for (int second = 0; second < seconds; second++) {
      bench.hear("lab/lagoon/redox/a", Double.toString(redox));
      bench.hear("lab/lagoon/redox/b", "{\"mv\":" + (redox + 3) + "}");
      bench.hear("lab/lagoon/air", "5.0");
      bench.hear("lab/gallery/ozone", "3");
      bench.passes(Duration.ofSeconds(1));
      tick();
    }
    return this;
  }

  /** The daemon dies, and starts again after a while from what is on disk. */
  public RecordedNights crash(Duration down) {
    bench.passes(down);
    bench.start(onDisk(), "boot-1");
    bench.connect();
    return this;
  }

  /**
   * The power is cut, and the machine starts again after a while with its clock in 1970; it is put
   * right after {@code unsureSeconds}.
   */
  public RecordedNights powerCut(Duration down, int unsureSeconds) {
    Instant start = bench.wall.plus(down);
    bench.wall = Instant.EPOCH.plusSeconds(20);
    bench.mono = Duration.ofSeconds(20).toNanos();
    bench.trusted = false;
    bench.start(onDisk(), "boot-2");
    bench.connect();
    bench.steady(unsureSeconds, 330, 333);
    long up = bench.mono - Duration.ofSeconds(20).toNanos();
    bench.wall = start.plusNanos(up);
    return clockTrusted(Duration.ZERO);
  }

  private SiteMemory onDisk() {
    SiteMemory memory = SiteMemory.BLANK.knowing(site().tanks());
    for (AuditRecord record : bench.records) {
      memory = memory.apply(record);
    }
    return memory;
  }

  /** The daemon is stopped in good order, and starts again after a while. */
  public RecordedNights stop(Duration down) {
    bench.event(new Event.Stopping("asked to by the system"));
    SiteMemory memory = bench.state.remembered();
    bench.passes(down);
    bench.start(memory, "boot-1");
    bench.connect();
    return this;
  }

  /** The disk is full, or no longer so. */
  public RecordedNights disk(boolean works) {
    bench.diskWorks = works;
    return this;
  }

  /** The broker is lost, and reached again after a while. */
  public RecordedNights brokerLost(Duration away) {
    bench.event(new Event.LinkDown("no answer to a ping"));
    bench.passes(away);
    bench.connect();
    return this;
  }

  /** The wall clock jumps and is not trusted. */
  public RecordedNights clockSteps(Duration step) {
    bench.wall = bench.wall.plus(step);
    bench.trusted = false;
    bench.event(new Event.ClockChanged("the wall clock jumped by " + step.toSeconds() + " s"));
    return this;
  }

  /** The wall clock is right again. */
  public RecordedNights clockTrusted(Duration step) {
    bench.wall = bench.wall.plus(step);
    bench.trusted = true;
    bench.event(new Event.ClockChanged("the wall clock is trusted"));
    return this;
  }

  /** The program stands still. */
  public RecordedNights stalls(Duration time) {
    bench.passes(time);
    bench.event(new Event.Stalled(time.toNanos()));
    return this;
  }

  /** A keeper asks for something. */
  public RecordedNights asks(String act, String name, String text, String by) {
    requests++;
    String payload =
        "{\"act\":\"%s\",\"tank\":\"lagoon\",\"name\":\"%s\",\"text\":\"%s\",\"by\":\"%s\",\"id\":\"r%d\",\"sent\":\"%s\"}"
            .formatted(act, name, text, by, requests, bench.wall);
    bench.event(new Event.Asked(new Request(requests, payload.getBytes(StandardCharsets.UTF_8))));
    return this;
  }

  private void tick() {
    bench.event(new Event.Tick());
  }

  /** Two doses that end at the end of the band, and nothing else. */
  public static RecordedNights good() {
    return evening()
        .ramp(600, 320, 364)
        .ramp(1800, 362, 318)
        .ramp(700, 318, 364)
        .ramp(2302, 362, 341);
  }

  /** Two minutes before the window to its opening, everything steady. */
  public static RecordedNights evening() {
    return new RecordedNights().until("2026-01-15T01:28:00Z").steady(121, 320, 323);
  }

  /**
   * Air is lost and ozone comes into the room, which the keeper resets; then redox passes the
   * ceiling and stays over it until that latches.
   */
  public static RecordedNights latched() {
    return evening()
        .ramp(300, 320, 340)
        .odd(12, 340, 1.2, false)
        .foul(35, 335, 5, 150)
        .steady(600, 330, 333)
        .asks("reset", "room-ozone", "aired the room", "Ana")
        .steady(700, 330, 333)
        .steady(40, 425, 428)
        .steady(3717, 330, 333);
  }
}
