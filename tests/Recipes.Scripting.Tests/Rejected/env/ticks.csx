// R2002
long ticks = Environment.TickCount64;
