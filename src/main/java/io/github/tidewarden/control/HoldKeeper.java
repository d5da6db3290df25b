package io.github.tidewarden.control;

import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** What a keeper holds at rest in one turn; ends what is over. */
final class HoldKeeper {
  private static final String NAME = "hold";

  private final Turn turn;

  HoldKeeper(Turn turn) {
    this.turn = turn;
  }

  /** Writes of each hold that is over. */
  void endsWhatIsOver() {
    for (Hold hold : turn.memory.holds()) {
      if (!hold.stands(turn.before.boot(), turn.now)) {
        turn.write(Kind.HOLD_OVER, "the hold of " + hold.name() + " is over", hold.named());
      }
    }
  }

  /** Why a function is held, by the hold that ends last; null when it is not. */
  @Nullable String why(TankFunction function) {
    if (turn.memory.holds().isEmpty()) {
      return null;
    }
    return turn.memory.holds().stream()
        .filter(hold -> hold.name().equals(function.word()) || covers(hold, function))
        .max(Comparator.comparing(Hold::end))
        .map(
            hold ->
                NAME
                    + ": "
                    + hold.name()
                    + " is held by the keeper"
                    + (hold.why().isBlank() ? "" : ": " + hold.why()))
        .orElse(null);
  }

  /** Whether a stop is a keeper's hold. */
  static boolean made(Stop stop) {
    return stop.name().equals(NAME);
  }

  /** The same as stops. */
  List<Stop> stops() {
    List<Stop> stops = new ArrayList<>();
    for (TankFunction function : TankFunction.values()) {
      String why = why(function);
      if (why != null) {
        stops.add(new Stop(function, NAME, why.substring(NAME.length() + 2), false));
      }
    }
    return stops;
  }

  /** Top-off goes on while a tank is held: what evaporates has to come back. */
  private static boolean covers(Hold hold, TankFunction function) {
    return hold.name().equals(Deed.WHOLE) && function != TankFunction.TOP_OFF;
  }
}
