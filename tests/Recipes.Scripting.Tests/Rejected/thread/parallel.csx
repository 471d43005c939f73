// R2002
System.Threading.Tasks.Parallel.For(0, 10, n => { });
