// R2002
System.Threading.Thread.Sleep(-1);
