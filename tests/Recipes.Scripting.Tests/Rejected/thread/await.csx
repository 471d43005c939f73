// R2003
await System.Threading.Tasks.Task.Delay(-1);
