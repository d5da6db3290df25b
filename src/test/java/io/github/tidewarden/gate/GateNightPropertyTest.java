package io.github.tidewarden.gate;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/**
 * Whole windows with a device on the other side of a bad network and a disk that is slow or full.
 * What the device really did is held against window, reservations and allowance: invariants 1, 3
 * and 4 of DEVELOPERS.md.
 */
class GateNightPropertyTest {
  private static final long SECOND = GateBench.SECOND;
  private static final int NIGHTS = 3_000;

  /** A message under way; it never overtakes another, and dies with its expiry. */
  private record Message(Command command, long sentNanos, long arrivalNanos) {
    boolean expired() {
      return command.runs() && arrivalNanos - sentNanos > command.expirySeconds() * SECOND;
    }
  }

  /** A night as it goes, on the bench's monotonic clock. */
  private static final class Night {
    final SplittableRandom random;
    final boolean faulty;
    final GateBench bench = new GateBench();
    final int dropOut;
    final boolean carriesLease;
    final long perNight;
    final long windowEnd;
    final long windowLength;
    final Deque<Message> network = new ArrayDeque<>();
    long lastArrival = Long.MIN_VALUE;
    long onSince;
    long onUntil;
    long onNanos;
    long reserved;
    long accounted;
    long syncAt;
    long syncing;

    Night(int seed, boolean faulty) {
      this.faulty = faulty;
      random = new SplittableRandom(seed);
      dropOut = random.nextInt(6, 121);
      carriesLease = !faulty || random.nextInt(3) > 0;
      perNight = random.nextLong(SECOND, 900 * SECOND);
      long quantum = Math.min(perNight, random.nextLong(faulty ? 1 : 200 * SECOND, 300 * SECOND));
      bench.gate =
          GateBench.gate(
              dropOut,
              carriesLease ? GateBench.WITH_LEASE : GateBench.WITHOUT_LEASE,
              new Gate.OzoneLimits(
                  "generator", GateBench.CEILING, perNight, 240 * GateBench.MINUTE, quantum));
      bench.mono = 0;
      windowLength = random.nextLong(SECOND, 1_200 * SECOND);
      windowEnd = windowLength;
      bench.leftInWindow(Duration.ofNanos(windowLength));
      onSince = onUntil = Long.MIN_VALUE / 2;
    }

    void run() {
      while (bench.mono < windowEnd + 200 * SECOND) {
        sync();
        Lease was = bench.lease;
        bench.spentInNight = accounted + bench.grant + syncing;
        bench.spentIn24h = bench.spentInNight;
        Gate.Decision decision = bench.decide();
        follow(was, decision);
        long step = random.nextLong(1_000_000, SECOND + SECOND / 5);
        if (faulty && random.nextInt(200) == 0) {
          step = random.nextLong(60 * SECOND);
        }
        if (faulty) {
          disturb();
        }
        bench.passes(Duration.ofNanos(step));
        deliver(bench.mono);
      }
      onNanos += Math.max(0, onUntil - onSince);
    }

    private void disturb() {
      bench.asked = random.nextInt(bench.asked ? 80 : 8) > 0 == bench.asked;
      bench.linkUp = random.nextInt(bench.linkUp ? 80 : 8) > 0 == bench.linkUp;
      bench.trusted = random.nextInt(bench.trusted ? 160 : 8) > 0 == bench.trusted;
    }

    /** A reservation reaches the disk, late or never. */
    private void sync() {
      if (syncing > 0 && bench.mono >= syncAt) {
        boolean written = !faulty || random.nextInt(4) > 0;
        bench.grant += written ? syncing : 0;
        reserved += written ? syncing : 0;
        syncing = 0;
      }
    }

    private void follow(Lease was, Gate.Decision decision) {
      if (decision.command() != null) {
        send(decision.command());
      }
      boolean ended = was != null && decision.lease() == null;
      if (ended) {
        long spent = was.boundNanos() - was.startedNanos();
        assertThat(spent).as("a run within its reservation").isLessThanOrEqualTo(bench.grant);
        accounted += spent;
      }
      if (decision.lease() == null && (ended || !bench.asked || !decision.denials().isEmpty())) {
        bench.grant = 0;
        syncing = 0;
      }
      if (decision.reserveNanos() > 0 && syncing == 0) {
        syncing = decision.reserveNanos();
        syncAt = bench.mono + random.nextLong(faulty ? 5 * SECOND : SECOND);
      }
    }

    private void send(Command command) {
      long delay = faulty ? random.nextLong(random.nextInt(10) == 0 ? 60 * SECOND : SECOND) : 0;
      lastArrival = Math.max(lastArrival, bench.mono + delay);
      if (!faulty || random.nextInt(20) > 0) {
        network.add(new Message(command, bench.mono, lastArrival));
      }
    }

    private void deliver(long until) {
      while (!network.isEmpty() && network.peek().arrivalNanos() <= until) {
        Message message = network.remove();
        if (!message.expired()) {
          obey(message);
        }
      }
    }

    /** The device: on until its lease is over, off at once when told so. */
    private void obey(Message message) {
      long now = message.arrivalNanos();
      if (onUntil <= now) {
        onNanos += onUntil - onSince;
        onSince = now;
        onUntil = now;
      }
      int lease = carriesLease ? message.command().leaseSeconds() : dropOut;
      onUntil = now;
      if (message.command().runs()) {
        onUntil += lease * SECOND;
        assertThat(onUntil).as("never on after the window").isLessThanOrEqualTo(windowEnd);
      }
    }
  }

  @Test
  void theDeviceNeverRunsPastWindowReservationOrAllowanceWhateverHappens() {
    long nightsWithOzone = 0;
    for (int seed = 0; seed < NIGHTS; seed++) {
      Night night = new Night(seed, true);
      night.run();
      assertThat(night.onNanos).as("on, seed " + seed).isLessThanOrEqualTo(night.accounted);
      assertThat(night.accounted).as("seed " + seed).isLessThanOrEqualTo(night.perNight);
      assertThat(night.accounted).as("seed " + seed).isLessThanOrEqualTo(night.reserved);
      nightsWithOzone += night.onNanos > 0 ? 1 : 0;
    }
    assertThat(nightsWithOzone).isGreaterThan(NIGHTS / 2);
  }

  /** Safe is not enough: on a good night all is given that window and allowance hold. */
  @Test
  void onAGoodNightNearlyAllIsGiven() {
    for (int seed = 0; seed < NIGHTS; seed++) {
      Night night = new Night(seed, false);
      night.run();
      long could = Math.min(night.perNight, night.windowLength);
      assertThat(night.accounted)
          .as("seed " + seed + " of " + could)
          .isLessThanOrEqualTo(could)
          .isGreaterThanOrEqualTo(could - 10 * SECOND);
    }
  }
}
