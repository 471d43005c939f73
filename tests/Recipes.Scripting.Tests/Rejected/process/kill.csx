// R2002
System.Diagnostics.Process.GetCurrentProcess().Kill();
