// R2002
Report.Note(System.Runtime.InteropServices.RuntimeInformation.OSDescription);
