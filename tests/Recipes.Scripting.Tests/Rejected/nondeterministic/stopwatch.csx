// R2002
long t = System.Diagnostics.Stopwatch.GetTimestamp();
