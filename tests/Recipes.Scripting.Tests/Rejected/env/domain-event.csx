// R2002
AppDomain.CurrentDomain.UnhandledException += (sender, e) => { };
