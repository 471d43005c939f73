// R2002
object sail = "x";
Report.Note(sail.GetType().Name);
