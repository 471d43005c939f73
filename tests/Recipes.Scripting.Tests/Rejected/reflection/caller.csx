// R2003
string Who([System.Runtime.CompilerServices.CallerFilePath] string path = "") => path;
Report.Note(Who());
