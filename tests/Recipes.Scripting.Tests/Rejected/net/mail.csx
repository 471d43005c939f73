// R2002
new System.Net.Mail.SmtpClient("127.0.0.1");
