package io.github.tidewarden.review;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.sensing.Measure;
import java.math.BigDecimal;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * A record and when it was written. Its fields are read leniently: a review tells less where a
 * record says less, and never fails.
 */
record Entry(Mark mark, AuditRecord record) {
  static final String SIGNALS = "signals";

  Kind kind() {
    return record.kind();
  }

  String tank() {
    return record.tank();
  }

  String why() {
    return record.why();
  }

  /** A text; empty when it is not there. */
  String text(String name) {
    return record.fields().get(name) instanceof String text ? text : "";
  }

  @Nullable Long count(String name) {
    return record.fields().get(name) instanceof Long count ? count : null;
  }

  @Nullable BigDecimal figure(String name) {
    return figure(record.fields().get(name));
  }

  boolean flag(String name) {
    return Boolean.TRUE.equals(record.fields().get(name));
  }

  List<String> texts(String name) {
    return record.fields().get(name) instanceof List<?> list
        ? list.stream().filter(String.class::isInstance).map(String.class::cast).toList()
        : List.of();
  }

  Redox redox(String name) {
    return record.fields().get(name) instanceof Map<?, ?> figures
        ? new Redox(
            figure(figures.get("start-mv")),
            figure(figures.get("peak-mv")),
            figure(figures.get("end-mv")),
            figure(figures.get("corrected-peak-mv")))
        : Redox.UNKNOWN;
  }

  /** The highest redox among the good signals that a decision was taken on; null for none. */
  @Nullable BigDecimal redoxNow() {
    BigDecimal highest = null;
    if (record.fields().get(SIGNALS) instanceof Map<?, ?> signals) {
      for (Object seen : signals.values()) {
        if (seen instanceof Map<?, ?> signal
            && Measure.REDOX.unit().equals(signal.get("unit"))
            && "good".equals(signal.get("quality"))) {
          highest = Redox.higher(highest, figure(signal.get("value")));
        }
      }
    }
    return highest;
  }

  private static @Nullable BigDecimal figure(@Nullable Object value) {
    return value instanceof BigDecimal decimal
        ? decimal
        : value instanceof Long count ? BigDecimal.valueOf(count) : null;
  }
}
