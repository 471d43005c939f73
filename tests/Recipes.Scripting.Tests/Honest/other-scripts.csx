// note: Bürste кит 鳥 كلب 🐦 B
// Комментарий, 注释, הערה
#region Über die Bürste
Report.Note("Bürste кит 鳥 كلب 🐦 \u0042");
#endregion
