// R2002
System.Diagnostics.Process.Start("/bin/sh");
