// R2002
System.Diagnostics.Debugger.Launch();
