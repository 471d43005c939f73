// R2002
System.Text.Json.JsonSerializer.Deserialize<object>("{}");
