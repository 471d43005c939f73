// R2002
System.Threading.Tasks.Task.Run(() => { while (true) { } });
