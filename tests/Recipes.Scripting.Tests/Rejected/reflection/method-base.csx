// R2002
Report.Note(System.Reflection.MethodBase.GetCurrentMethod().Name);
