// R2002
System.Threading.Monitor.Enter(typeof(string));
