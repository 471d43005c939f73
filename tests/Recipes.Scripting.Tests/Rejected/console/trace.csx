// R2002 source
System.Diagnostics.Trace.WriteLine("x");
