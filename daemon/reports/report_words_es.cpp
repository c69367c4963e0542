#include "daemon/alarms/alarm_cause.h"
#include "daemon/reports/report_words.h"

namespace quietpass {

namespace {

CycleWords spanish_stun_words() {
    CycleWords words;
    words.phases = {"entrada", "cuerpo sujeto", "cabeza sujeta", "en el aturdido"};
    words.times = {"cabeza sujeta a aturdido", "cuerpo sujeto a aturdido", "entrada a aturdido",
                   "entrada a salida"};
    words.trade = {"piso, luz, personas a la vista, la picana",
                   "presión, bordes filosos, lados muy anchos o muy justos, sensación de volcarse",
                   "sujeción larga antes del aturdido", "posición del aturdido, equipo de aturdido"};
    words.stun_heading = "Aturdido";
    words.covered = "{0} % de los animales escuchados de la entrada al aturdido";
    words.calls_after =
        "Tras el aturdido: {0}, nunca en el porcentaje. Cada una puede ser señal de que vuelve la "
        "sensibilidad: "
        "una persona capacitada revisa al animal de inmediato.";
    return words;
}

CycleWords spanish_cut_words() {
    CycleWords words = spanish_stun_words();
    words.phases[3] = "en el corte";
    words.times = {"cabeza sujeta a corte", "cuerpo sujeto a corte", "entrada a corte", "entrada a salida"};
    words.trade[2] = "sujeción larga antes del corte";
    words.trade[3] = "cómo se sujeta la cabeza, el corte";
    words.stun_heading = "Corte";
    words.covered = "{0} % de los animales escuchados de la entrada al corte";
    words.calls_after = "Tras el corte: {0}, nunca en el porcentaje; se informan aquí, sin alarma.";
    return words;
}

void set_spanish_share(ReportWords& words) {
    words.titles = {"Informe del turno", "Informe de la semana", "Informe del mes",
                    "Informe de varios turnos"};
    words.species = {"bovinos", "cerdos", "ovinos"};
    words.range = "{0} ({1} a {2})";
    words.station = "Puesto {0} · {1}";
    words.shift_time = "Turno «{0}», {1} a {2} ({3})";
    words.span_time = "{0}{1}, {2} a {3} ({4})";
    words.no_date = "sin fecha";
    words.share_caption = "de los animales vocalizaron en la sujeción";
    words.share_counts = "{0} de {1} animales calificados.";
    words.share_none = "Pasos: {0}; calificados: ninguno.";
    words.share_interval = "Intervalo del 95 %: {0} a {1} %.";
    words.by_lots = "Si se admite que {2} lotes difieren: {0} a {1} %.";
    words.by_shifts = "Si se admite que {2} turnos difieren: {0} a {1} %.";
    words.reviewed =
        "Revisado de oído, enmienda {0}: {1} de {2}, {3} %. La cifra de arriba es de la máquina.";
    words.limit = "Límite {0} % ({1})";
    words.limit_without_basis = "Límite {0} %";
    words.limits_differ = "El límite se modificó en este tiempo: vea la tabla de turnos.";
    words.within = "DENTRO DEL LÍMITE";
    words.over = "SOBRE EL LÍMITE";
    words.unsure = "Pocos animales para estar seguros: el intervalo contiene el límite.";
    words.unsure_by_lots = "No es seguro: el intervalo que tiene en cuenta los lotes contiene el límite.";
    words.unsure_by_shifts = "No es seguro: el intervalo que tiene en cuenta los turnos contiene el límite.";
    words.sure_within = "Todo el intervalo queda bajo el límite.";
    words.sure_over = "Todo el intervalo queda sobre el límite.";
    words.no_percentage = "SIN PORCENTAJE";
}

void set_spanish_chart(ReportWords& words) {
    words.chart_heading = "Turno por turno: parte de los animales que vocalizó, %";
    words.chart_limits =
        "Media de estos turnos {0} %. Sombreado: gráfico p de ella, tres desviaciones típicas; muy estrecho "
        "donde "
        "los lotes difieren.";
    words.chart_few = "{0} con porcentaje: los límites del gráfico aparecen desde {1}.";
    words.chart_empty = "Ningún turno con porcentaje que dibujar.";
    words.chart_shift = "turno";
    words.chart_outside = "fuera de la zona sombreada";
    words.chart_change = "cambio en el puesto";
    words.chart_limit = "límite {0} %";
    words.chart_reported = "de este informe";
    words.chart_within = "zona sin cambio";
}

void set_spanish_blocks(ReportWords& words) {
    words.phases_heading = "En qué parte del ciclo vocalizaron";
    words.phase_columns = {"fase", "animales", "% (intervalo 95 %)", "vocal.",
                           "lo que el oficio mira primero"};
    words.common_practice = "práctica común";
    words.phases_note =
        "Lo que el oficio mira es práctica común: dónde mirar, no cuál es la causa. Un animal que vocalizó "
        "en dos "
        "fases está en ambas.";
    words.times_heading = "Tiempos, segundos";
    words.time_columns = {"de … a", "mediana", "95 % bajo", "más largo", "animales"};
    words.no_times = "Sin tiempos: sus contactos no están cableados o no cerraron.";
    words.line = "{0} animales por hora; la línea marchó {1}, estuvo parada {2}.";
    words.line_without_rate = "La línea marchó {1}, estuvo parada {2}.";
    words.hours = "{0} h {1:02} min";
    words.stunned_once = "Aturdidos una vez: {0} de {1} animales, {2} % ({3} a {4}).";
    words.stunned_twice = "Segundo aturdido: {0}.";
    words.no_stun_seen = "No se vio ningún aturdido.";
    words.cut_only = "Este puesto corta sin aturdir; no hay aturdido que contar.";
    words.squeals =
        "Chillidos en el aturdido, aparte: {0}, de {1} de {2} animales calificados, {3} % ({4} a {5}).";
    words.bangs = "Golpes en la sujeción: {0} de {1} animales sujetos.";
    words.coverage_heading = "Lo que se escuchó";
    words.heard = "{0} % del tiempo en marcha escuchado por todos los micrófonos";
    words.contacts = "{0} % del tiempo con contactos conocidos";
    words.not_measured = "Sin medir";
    words.all_scored = "Ningún paso quedó fuera.";
    words.left_out = "Sin calificar: {0} de {1} pasos: {2}.";
    words.reasons = {{"overrun", "sonido perdido"},
                     {"unplugged", "micrófono desconectado"},
                     {"silent", "micrófono mudo"},
                     {"clipped", "micrófono saturado"},
                     {"covered_up", "micrófono tapado"},
                     {"hum", "zumbido de la red"},
                     {"wind", "viento o agua en el micrófono"},
                     {"level_far", "nivel lejos del usual"},
                     {"contacts_lost", "los contactos no respondían"},
                     {"not_written", "no se pudo escribir los registros"},
                     {"no_animal", "ningún animal"},
                     {"line_stopped", "línea detenida"},
                     {"input_ended", "terminó el registro"},
                     {"entry_not_seen", "entrada no vista"},
                     {"stun_not_seen", "aturdido no visto"},
                     {"release_not_seen", "salida no vista"},
                     {"too_long", "demasiado tiempo adentro"},
                     {"not_covered", "no se escuchó entero"},
                     {"species_not_scored", "los ovinos nunca se califican"},
                     {"several_in_line", "varios cerdos en fila"}};
}

void set_spanish_factors(ReportWords& words) {
    words.factors_heading = "Qué acompaña a las vocalizaciones";
    words.factor_columns = {"animales con", "vocalizaron", "los demás", "razón (95 %)"};
    words.factors = {{"hold_time", "sujeción {0}"},
                     {"prods", "picana: {0}"},
                     {"second_stun", "segundo aturdido: {0}"},
                     {"bangs_held", "golpes en la sujeción: {0}"},
                     {"line_rate", "ritmo de la línea {0}"},
                     {"hour_of_shift", "hora {0} del turno"},
                     {"lot", "lote {0}"},
                     {"note", "nota: {0}"},
                     {"bang_before", "segundos tras un golpe"},
                     {"hiss_before", "segundos tras un siseo"}};
    words.factors_none = "De {0} filas miradas, ninguna vocalizó claramente más que los demás.";
    words.factors_nothing = "Nada de lo que se sabe de estos animales difería entre ellos.";
    words.factors_note =
        "No se nombra ninguna causa: lo que se da junto puede tener otra razón. {0} filas miradas; por azar "
        "solo, "
        "cerca de 1 de cada 40 está aquí.";
    words.factors_seconds =
        "Las filas de segundos cuentan los segundos de la entrada al aturdido en que empezó una "
        "vocalización.";
    words.levels = {"sí", "no", "cualquiera", "menos de ", " a ", " o más"};
}

void set_spanish_alarms(ReportWords& words) {
    words.alarms_heading = "Alarmas y lo que se hizo";
    words.alarms_none = "Ninguna.";
    words.seen_times = "vista {0} veces";
    words.acknowledged = "atendida por {0} a los {1}";
    words.not_acknowledged = "no la atendió nadie";
    words.over_by_itself = "terminó sola a los {0}";
    words.cleared_by = "cerrada por {0} a los {1}";
    words.goes_on = "continúa";
    words.sum_acknowledged = "{0} de {1} atendidas";
    words.sum_by = "por {0}";
    words.sum_within = "la mitad en {0} o menos";
    words.sum_open = "{0} sin terminar";
    words.alarms_where = "Una por una: `quietpass alarms list --all`.";
    words.causes = {{AlarmCause::kCallAfterStun, "Vocalización tras el aturdido"},
                    {AlarmCause::kMayBeAfterStun, "Vocalización quizá tras el aturdido"},
                    {AlarmCause::kHoldTooLong, "Sujeción demasiado larga"},
                    {AlarmCause::kSecondStun, "Segundo aturdido"},
                    {AlarmCause::kRateUp, "Vocalizan más animales que de costumbre"},
                    {AlarmCause::kManyVocal, "Muchos vocalizaron en poco tiempo"},
                    {AlarmCause::kStunnedOnceLow, "Muy pocos aturdidos a la primera"},
                    {AlarmCause::kMicrophoneLost, "Micrófono perdido"},
                    {AlarmCause::kMicrophoneFault, "Falla del micrófono"},
                    {AlarmCause::kContactsLost, "Contactos perdidos"},
                    {AlarmCause::kContactFault, "Falla de un contacto"},
                    {AlarmCause::kClockAdrift, "Reloj desajustado"},
                    {AlarmCause::kDiskLow, "Disco casi lleno"},
                    {AlarmCause::kRecordsNotWritten, "No se escriben los registros"},
                    {AlarmCause::kClipsStopped, "No se guardan clips"},
                    {AlarmCause::kCertificateEnds, "El certificado de la página termina"},
                    {AlarmCause::kNoPassage, "Ningún animal desde hace rato"},
                    {AlarmCause::kNothingHeard, "No se escucha nada"}};
}

void set_spanish_people(ReportWords& words) {
    words.changes_heading = "Cambios en el puesto";
    words.changes_none = "Ninguno anotado.";
    words.changes_more = "y {0} anteriores: `quietpass change list`";
    words.change_by = "anotado por {0}";
    words.audit_heading = "Auditorías a mano de estos animales";
    words.audit_none = "Ninguna.";
    words.audit_who = "{0} calificó de oído {1} de ellos.";
    words.audit_who_unnamed = "{1} de ellos se calificaron de oído.";
    words.audit_agreed = "Persona y máquina coinciden en {0} de {1}, {2} % ({3} a {4}).";
    words.audit_counts =
        "Vocalizó para ambas {0}, solo para la persona {1}, solo para la máquina {2}; en silencio para ambas "
        "{3}.";
    words.audit_kappa = "Kappa {0}, PABAK {1}.";
    words.audit_left_out = "Sin comparar: {0}.";
}

void set_spanish_frame(ReportWords& words) {
    words.shifts_heading = "Los turnos";
    words.shift_columns = {"turno",  "inicio", "calif.",  "vocal", "% (intervalo 95 %)", "límite", "fallo",
                           "% esc.", "suj. s", "alarmas", "firma"};
    words.not_closed = "sin cerrar";
    words.yes = "sí";
    words.no = "no";
    words.short_within = "dentro";
    words.short_over = "SOBRE";
    words.short_unsure = "{0}, dudoso";
    words.cautions_heading = "Precauciones";
    words.caution_ears =
        "La máquina pierde vocalizaciones y puede tomar otros sonidos por ellas: lea sus cifras junto a las "
        "auditorías a mano.";
    words.caution_lots =
        "Los animales de un lote no son independientes: donde los lotes difieren, los intervalos reales son "
        "más "
        "anchos.";
    words.caution_whose =
        "Aquí no se distinguen las vocalizaciones de los animales que esperan; pueden contarse.";
    words.caution_killed =
        "El registro se hizo después, con lo que había guardado una ejecución interrumpida ({0}).";
    words.caution_amended =
        "Enmendado tras revisar de oído: turno {0}; las cifras de aquí son de la máquina.";
    words.caution_open = "{0} de este tiempo sin cerrar, fuera de las cifras.";
    words.caution_measures =
        "quietpass mide; no es un dispositivo de seguridad y no reemplaza a ninguna persona capacitada, ni "
        "la ley, "
        "ni al veterinario.";
    words.signature_heading = "Coteje este papel con el libro de registros";
    words.signed_by = "Firmado {1} con la clave {0} del puesto.";
    words.record_hash = "Registro {0}, SHA-256 {1}";
    words.code_note =
        "El código, también en el cuadro, se coteja con  quietpass verify --code  donde están los registros: "
        "si el "
        "registro está allí sin alterar, y con qué cifras.";
    words.code = "Código: {0}";
    words.span_note =
        "Esta es la firma del último turno firmado, {0}; su cadena contiene todos los registros anteriores. "
        "Cada "
        "turno tiene la suya: `quietpass report --shift`.";
    words.unsigned_shifts = "{0} sin firmar.";
    words.not_signed =
        "SIN FIRMAR. El libro no tiene una cabeza firmada sobre este registro, así que este papel no puede "
        "cotejarse con él.";
    words.page = "página {0} de {1}";
    words.made_by = "quietpass · puesto {0} · {1}";
    words.animal = {"animal", "animales"};
    words.call = {"vocalización", "vocalizaciones"};
    words.shift = {"turno", "turnos"};
}

ReportWords made_spanish() {
    ReportWords words;
    set_spanish_share(words);
    set_spanish_chart(words);
    set_spanish_blocks(words);
    set_spanish_factors(words);
    set_spanish_alarms(words);
    set_spanish_people(words);
    set_spanish_frame(words);
    words.stun = spanish_stun_words();
    words.cut = spanish_cut_words();
    return words;
}

} // namespace

const ReportWords& spanish_report_words() {
    static const ReportWords kWords = made_spanish();
    return kWords;
}

} // namespace quietpass
