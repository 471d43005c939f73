// R2002
new System.Xml.XmlDocument().Load("http://127.0.0.1/");
