// R2002
new System.Threading.Thread(() => { while (true) { } }).Start();
