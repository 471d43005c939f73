// R2002
Report.Note(Environment.StackTrace);
