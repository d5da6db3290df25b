package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.stream.IntStream;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Which tanks an event is work for. Counted, so that it cannot depend on the machine; the time is
 * taken by {@code CoreSpeedCampaign}.
 */
class CoreWorkTest {
  private static final Moment NOW =
      new Moment(Instant.parse("2026-01-14T13:00:00Z"), TimeUnit.HOURS.toNanos(1), true);

  @ParameterizedTest
  @ValueSource(ints = {1, 10, 1000})
  void aReadingIsAStepOfItsTankAlone(int tanks) {
    Site site = site(tanks);
    SiteState before = started(site);
    String topic = "lab/" + (tanks / 2) + "/redox/a";
    assertThat(site.topics()).contains(topic);

    Event reading =
        new Event.Heard(new Reading(1, topic, "320".getBytes(StandardCharsets.UTF_8), false, NOW));
    SiteState after = site.step(before, reading, NOW).state();

    assertThat(stepped(before, after)).containsExactly("tank-" + tanks / 2);
  }

  @ParameterizedTest
  @ValueSource(ints = {1, 10, 1000})
  void anAnswerOfTheDiskIsAStepOfTheTankThatAskedAlone(int tanks) {
    Site site = site(tanks);
    SiteState before = started(site);
    long ticket = tanks / 2 + 1L; // the first of this tank, see Tank.ticketAfter

    SiteState after = site.step(before, new Event.Synced(ticket), NOW).state();

    assertThat(stepped(before, after)).containsExactly("tank-" + tanks / 2);
  }

  /** Each tank is asked when it wants to be, and not whenever another does. */
  @ParameterizedTest
  @ValueSource(ints = {2, 10, 1000})
  void timeThatPassesIsAStepOfTheTanksThatAreDue(int tanks) {
    Site site = site(tanks);
    SiteState started = started(site);
    String topic = "lab/" + (tanks / 2) + "/redox/a";
    Moment later = later(NOW, 700);
    Event reading =
        new Event.Heard(
            new Reading(1, topic, "320".getBytes(StandardCharsets.UTF_8), false, later));
    SiteState before = site.step(started, reading, later).state();

    Moment second = later(NOW, 1_000);
    SiteState after = site.step(before, new Event.Tick(), second).state();
    assertThat(stepped(before, after)).hasSize(tanks - 1).doesNotContain("tank-" + tanks / 2);

    assertThat(stepped(after, site.step(after, new Event.Tick(), later(NOW, 1_600)).state()))
        .as("nobody wants to be asked yet")
        .isEmpty();

    SiteState last = site.step(after, new Event.Tick(), later(NOW, 1_700)).state();
    assertThat(stepped(after, last)).as("from here on they keep step").hasSize(tanks);
  }

  private static Moment later(Moment moment, long millis) {
    return new Moment(
        moment.wall().plusMillis(millis),
        moment.monoNanos() + TimeUnit.MILLISECONDS.toNanos(millis),
        true);
  }

  private static Site site(int tanks) {
    return new Site(
        Specs.site(
            IntStream.range(0, tanks)
                .mapToObj(tank -> Specs.lagoon("tank-" + tank, "lab/" + tank))
                .toArray(TankSpec[]::new)));
  }

  private static SiteState started(Site site) {
    SiteState booted = site.boot(SiteMemory.BLANK, "boot-1", "", true, Map.of(), NOW).state();
    return site.step(booted, new Event.LinkUp(), NOW).state();
  }

  /** The tanks whose state is another object; one that took no step has the very same. */
  @SuppressWarnings("ReferenceEquality")
  private static List<String> stepped(SiteState before, SiteState after) {
    return before.tanks().keySet().stream()
        .filter(name -> before.tanks().get(name) != after.tanks().get(name))
        .toList();
  }
}
