// R2002
Func<System.Threading.Tasks.Task> go = async () => { };
