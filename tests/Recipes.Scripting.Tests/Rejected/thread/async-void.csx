// R2003
async void Go() { }
Go();
