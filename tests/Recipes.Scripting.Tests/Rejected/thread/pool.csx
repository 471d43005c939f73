// R2002
System.Threading.ThreadPool.QueueUserWorkItem(_ => { });
