// R2001
Wing.Open();
