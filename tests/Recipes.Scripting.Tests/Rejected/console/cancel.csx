// R2002
Console.CancelKeyPress += (sender, e) => e.Cancel = true;
